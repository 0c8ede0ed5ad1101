// What is not known, in JSON.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>

namespace nestcup::daemon {

/// The value, or null where there is none.
template <class T>
[[nodiscard]] nlohmann::ordered_json or_null(const std::optional<T>& value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json(nullptr);
}

/// The text, or null where it is empty.
[[nodiscard]] inline nlohmann::ordered_json text_or_null(const std::string& text) {
  return text.empty() ? nlohmann::ordered_json(nullptr) : nlohmann::ordered_json(text);
}

}  // namespace nestcup::daemon

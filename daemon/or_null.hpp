// What is not known, in JSON.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>

namespace nestcup::daemon {

/// The value, or null where there is none.
template <class T>
[[nodiscard]] nlohmann::ordered_json or_null(const std::optional<T>& value) {
  return value ? nlohmann::ordered_json(*value) : nlohmann::ordered_json(nullptr);
}

}  // namespace nestcup::daemon

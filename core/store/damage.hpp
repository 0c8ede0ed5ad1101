// Which failures say that a store's file is damaged.
#pragma once

#include <string_view>

#include "core/base/result.hpp"

namespace nestcup {

/// What people are told to do then, at the end of each such error's text.
inline constexpr std::string_view damage_advice =
    "set the file aside, keep it, and start a new store";

/// Whether the error says that the store's file is damaged, or no store at all, so that nothing
/// that is asked of it again can go well. A store of a newer version is not damaged.
[[nodiscard]] inline bool says_damaged(const Error& error) {
  return error.kind == Fault::bad_data && error.text.ends_with(damage_advice);
}

}  // namespace nestcup

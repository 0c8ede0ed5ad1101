// What a request's query says.
#pragma once

#include <cstdint>
#include <initializer_list>
#include <string_view>

#include "core/base/result.hpp"
#include "daemon/control/message.hpp"

namespace nestcup::daemon {

/// @errors usage: a key that is none of `known`
[[nodiscard]] Result<void> check_keys(const Request& request,
                                      std::initializer_list<std::string_view> known);

/// A whole number of the query; `usual` where it is left out.
/// @errors usage: no whole number
[[nodiscard]] Result<std::int64_t> whole_in(const Request& request, const char* key,
                                            std::int64_t usual);

}  // namespace nestcup::daemon

// The target of a request (RFC 9112, origin form) taken apart and decoded.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup::daemon {

struct Target {
  std::string path;                   ///< decoded, begins with '/'
  std::vector<std::string> segments;  ///< decoded, without the slashes
  std::map<std::string, std::string> query;
};

/// Splits first and decodes then, so that an encoded slash cannot make a new segment. '+' stays
/// '+'.
/// @errors usage: no leading slash, empty, "." or ".." segment, bad %-code, control character,
///   slash or byte outside ASCII (also encoded), a query key given twice
[[nodiscard]] Result<Target> parse_target(std::string_view text);

}  // namespace nestcup::daemon

// Wall time and identifiers as text: RFC 3339 stamps, RFC 9562 UUIDs of version 7.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"

namespace nestcup {

/// RFC 3339 in UTC with milliseconds: "2026-11-25T08:00:00.000Z".
/// @param wall_us  Unix time, us, years 1970 to 9999
[[nodiscard]] std::string rfc3339(TimeUs wall_us);

/// Unix time (us) of an RFC 3339 stamp; nothing where `text` is none.
[[nodiscard]] std::optional<TimeUs> parse_rfc3339(std::string_view text);

/// UUID version 7 (RFC 9562, section 5.7) in lower-case text.
/// @param unix_ms  Unix time, ms, 48 bits
/// @param random   ten random bytes; version and variant bits are set over them
[[nodiscard]] std::string uuid_v7(std::uint64_t unix_ms,
                                  const std::array<std::uint8_t, 10>& random);

}  // namespace nestcup

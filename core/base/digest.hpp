// Digests of bytes.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// SHA-256 (FIPS 180-4) of `bytes` as 64 lower-case hexadecimal digits; empty only where the
/// machine's cryptographic library refuses to work.
[[nodiscard]] std::string sha256_hex(std::string_view bytes);

}  // namespace nestcup

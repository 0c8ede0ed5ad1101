// Base 64 (RFC 4648, section 4), in one line.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

[[nodiscard]] std::string base64_text(std::string_view bytes);

}  // namespace nestcup

// UTF-8 as RFC 3629 has it: no overlong forms, no surrogates, nothing beyond U+10FFFF.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup {

[[nodiscard]] bool is_utf8(std::string_view text);

/// The UTF-16 code units of `text`; nothing where it is not UTF-8.
[[nodiscard]] std::optional<std::u16string> utf16(std::string_view text);

}  // namespace nestcup

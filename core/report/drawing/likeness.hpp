// Texts for machines whose fonts lack what typography asks for.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// What stands for one UTF-8 character in ASCII: "-" for the minus sign, "ue" for the letter
/// u with diaeresis, "->" for the arrow; empty where nothing does.
[[nodiscard]] std::string_view ascii_likeness(std::string_view character);

/// How many bytes the UTF-8 character has that begins with this one; 1 for a stray byte.
[[nodiscard]] std::size_t utf8_length(char first);

}  // namespace nestcup

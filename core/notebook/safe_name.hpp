// Names of files and folders from words that people chose.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// `words` as part of a file's name on every usual file system: letters of any alphabet, digits,
/// "-", "_", "+", "(", ")", inner blanks and inner dots stay, all else becomes "_"; at most 60
/// bytes of UTF-8, cut between characters. Never empty.
[[nodiscard]] std::string safe_name(std::string_view words);

}  // namespace nestcup

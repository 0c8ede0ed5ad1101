// What letters of numbers and formulas are.
#pragma once

#include <string_view>

namespace nestcup {

/// The minus sign of typography.
inline constexpr std::string_view minus = "\xE2\x88\x92";

[[nodiscard]] constexpr bool is_digit(char letter) {
  return letter >= '0' && letter <= '9';
}

[[nodiscard]] constexpr bool is_letter(char letter) {
  return (letter >= 'A' && letter <= 'Z') || (letter >= 'a' && letter <= 'z');
}

}  // namespace nestcup

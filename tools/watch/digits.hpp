// Numbers large enough to be read from afar, drawn with half blocks (U+2580, U+2584, U+2588), or
// with '#' where there is only ASCII.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "tools/watch/dots.hpp"

namespace nestcup::watch {

/// Rows of large digits.
[[nodiscard]] int large_rows(int scale, Charset charset);

/// `text` drawn large; every row is equally wide.
/// @param text   digits, '-', the minus sign of typography, an en dash, '.', ','; anything else is
///               left out
/// @param scale  1 or more: squares a stroke is wide
[[nodiscard]] std::vector<std::string> large(std::string_view text, int scale, Charset charset);

}  // namespace nestcup::watch

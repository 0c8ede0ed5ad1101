// Texts of several lines: wrapped, made smaller, and only at the last shortened.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/report/drawing/canvas.hpp"

namespace nestcup {

/// Lines of one style, set under one another.
struct TextBlock {
  std::vector<std::string> lines;
  TextStyle style;
  double width = 0.0;  ///< of the widest line, pt

  [[nodiscard]] double line_height() const { return 1.28 * style.size; }
  [[nodiscard]] double height() const { return line_height() * static_cast<double>(lines.size()); }
};

/// `words` in lines no wider than `width`, broken at blanks (equations before their signs); a word
/// that is wider is broken anywhere between its characters.
[[nodiscard]] TextBlock wrapped(Canvas& canvas, const std::string& words, const TextStyle& style,
                                double width);

/// Whether a word is wider than `width`.
[[nodiscard]] bool breaks_words(Canvas& canvas, const std::string& words, const TextStyle& style,
                                double width);

/// Lines of `words` in at most `most_lines`: what needs more gets smaller, down to three quarters
/// of its size, and then ends with an ellipsis.
[[nodiscard]] TextBlock fitted(Canvas& canvas, const std::string& words, const TextStyle& style,
                               double width, std::size_t most_lines);

/// Draws a block whose first line begins under `at`.
/// @param at  left end, middle or right end of its upper edge
void draw_block(Canvas& canvas, const TextBlock& block, PagePoint at, Across across);

}  // namespace nestcup

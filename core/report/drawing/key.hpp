// The key of a chart: what its lines, bands and marks mean.
#pragma once

#include <functional>
#include <span>
#include <string>

#include "core/report/drawing/canvas.hpp"

namespace nestcup {

struct KeyEntry {
  std::string words;
  std::function<void(Canvas&, const PageBox&)> sample;  ///< draws into a small box
};

[[nodiscard]] KeyEntry key_line(std::string words, const Stroke& stroke);
[[nodiscard]] KeyEntry key_mark(std::string words, Mark shape, const Colour& colour);
/// A band of one colour; its middle line where a stroke is given.
[[nodiscard]] KeyEntry key_band(std::string words, const Colour& colour, const Stroke& middle);

/// Height of the entries set side by side in rows of `width`, pt; 0 without entries.
[[nodiscard]] double key_height(Canvas& canvas, std::span<const KeyEntry> entries, double width);

/// Draws the entries in rows from `at` (left end of the upper edge) on.
void draw_key(Canvas& canvas, std::span<const KeyEntry> entries, PagePoint at, double width);

}  // namespace nestcup

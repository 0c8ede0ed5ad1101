// The head of a chart: its title and some lines under it.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/report/drawing/text_block.hpp"

namespace nestcup {

/// A heading with its place on the page.
struct ChartHeading {
  TextBlock title;                   ///< at most two lines
  std::vector<TextBlock> subtitles;  ///< at most two lines each
  double left = 0.0;                 ///< pt
  double bottom = 0.0;               ///< where the chart may begin, pt from the top

  void draw(Canvas& canvas) const;
};

/// @param left  where its lines begin, pt; they end at the page's right margin
[[nodiscard]] ChartHeading heading(Canvas& canvas, const std::string& title,
                                   std::span<const std::string> subtitles, double left);

}  // namespace nestcup

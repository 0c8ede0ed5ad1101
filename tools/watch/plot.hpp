// Curves over time in a terminal's characters, with their axes.
#pragma once

#include <string>
#include <vector>

#include "tools/watch/words.hpp"

namespace nestcup::watch {

/// A curve of a plot: where it has a hole, another part begins.
struct PlotCurve {
  struct Point {
    double minute = 0.0;  ///< from now, not above 0
    double degC = 0.0;
  };
  std::vector<std::vector<Point>> parts;
  int every = 1;    ///< 1: a line; more: dots in every n-th column
  char mark = '*';  ///< in ASCII
};

/// Fewer rows than this draw nothing that tells something.
inline constexpr int fewest_plot_rows = 4;

/// So many lines of at most so many columns; the last one has the minutes before now.
/// @param span_min  shown; above 0
[[nodiscard]] std::vector<std::string> plot(const std::vector<PlotCurve>& curves, double span_min,
                                            int columns, int rows, const Words& words);

}  // namespace nestcup::watch

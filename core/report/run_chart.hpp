// The chart of one run: readings, periods, both lines to the equal-area time, and the rise.
// SVG and PNG come from one drawing code; the same chart gives the same bytes.
#pragma once

#include <cstddef>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/base/uncertain.hpp"

namespace nestcup {

/// One point of a series or of a fitted line.
struct ChartPoint {
  double time_s = 0.0;            ///< on the run's axis, s
  double temperature_degC = 0.0;  ///< degC
};

/// A stretch of the run's axis.
struct ChartSpan {
  double start_s = 0.0;
  double end_s = 0.0;
};

/// So many lines have room under the title.
inline constexpr std::size_t most_subtitles = 3;

/// All that the chart of a run shows. Texts are UTF-8.
struct RunChart {
  std::string title;
  std::vector<std::string> subtitles;  ///< lines under the title, at most three
  std::vector<ChartPoint> cup;         ///< readings, times not falling; at least two
  std::vector<ChartPoint> added;       ///< readings of the second vessel, may be empty
  ChartSpan fore;
  ChartSpan main;
  ChartSpan after;
  std::vector<ChartPoint> fore_line;          ///< from the foreperiod to the equal-area time
  std::vector<ChartPoint> after_line;         ///< from the equal-area time to the end
  std::optional<double> mixing_time_s;        ///< start of the pour, s
  std::optional<double> equal_area_time_s;    ///< where the two lines differ by the rise, s
  std::optional<Uncertain> corrected_rise_K;  ///< K
};

/// The chart as an SVG document.
/// @errors bad_data (too few readings, a number that is not finite, a text that is not UTF-8)
[[nodiscard]] Result<std::string> chart_svg(const RunChart& chart);

/// The chart as a PNG image.
/// @param scale  pixels per point (1/72 inch), 0.5 to 8; 2 suits screens, 4 print
/// @errors as chart_svg; usage (scale out of range)
[[nodiscard]] Result<std::string> chart_png(const RunChart& chart, double scale);

/// Writes `chart_svg` to `path`, over a file that is there.
/// @errors as chart_svg; cannot_create, io
Result<void> write_chart_svg(const RunChart& chart, const std::filesystem::path& path);

/// Writes `chart_png` to `path`, over a file that is there.
/// @errors as chart_png; cannot_create, io
Result<void> write_chart_png(const RunChart& chart, const std::filesystem::path& path,
                             double scale);

}  // namespace nestcup

// The chart of one run: readings, periods, the fitted course, both lines to the equal-area time,
// the rise, and what the fit leaves of the readings.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/base/uncertain.hpp"
#include "core/report/drawing/chart_page.hpp"
#include "core/report/words/texts.hpp"

namespace nestcup {

/// One point of a series or of a fitted line.
struct ChartPoint {
  double time_s = 0.0;            ///< on the run's axis, s
  double temperature_degC = 0.0;  ///< degC
};

/// What the fit leaves of one reading.
struct ChartResidual {
  double time_s = 0.0;
  double residual_K = 0.0;  ///< reading less fit, K
  bool left_out = false;    ///< the analysis did not use this reading
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
  std::vector<ChartPoint> course;             ///< fitted course in the main period, may be empty
  std::vector<ChartPoint> left_out;           ///< knocks: readings that are not in `cup`
  std::vector<ChartResidual> residuals;       ///< in any order; may be empty: no panel then
  std::optional<double> scatter_K;            ///< standard deviation s of one reading, K
  std::optional<double> mixing_time_s;        ///< start of the pour, s
  std::optional<double> equal_area_time_s;    ///< where the two lines differ by the rise, s
  std::optional<Uncertain> corrected_rise_K;  ///< K
  Language language = Language::english;      ///< of all that the chart adds to the texts above
};

/// The page with the chart; chart_page.hpp makes documents, images and files of it.
/// @errors bad_data (too few readings, a number that is not finite or out of all range)
[[nodiscard]] Result<ChartPage> chart_page(const RunChart& chart);

}  // namespace nestcup

// The chart of a class: what every bench found, and how far they agree.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/base/uncertain.hpp"
#include "core/report/drawing/chart_page.hpp"

namespace nestcup {

/// What one bench found.
struct ClassChartBench {
  std::string name;
  double value = 0.0;
  double u = 0.0;            ///< standard uncertainty, >= 0; 0: not known, no bar
  std::vector<double> runs;  ///< its single runs, may be empty
  bool outlying = false;
};

/// Up to here every bench has a row with its name and value; more are sorted, and only those that
/// lie apart are named.
inline constexpr std::size_t most_named_benches = 40;

/// All values in `unit`.
struct ClassChart {
  std::string title;
  std::vector<std::string> subtitles;
  std::string quantity;  ///< "calorimeter constant"
  std::string unit;      ///< "J/K"; may be empty
  std::vector<ClassChartBench> benches;
  double robust_mean = 0.0;
  double robust_sd = 0.0;  ///< >= 0
  double median = 0.0;
  std::optional<Uncertain> accepted;
  Language language = Language::english;
};

/// The page with the chart; chart_page.hpp makes documents, images and files of it.
/// @errors bad_data (no bench, a number that is not finite, a negative u or deviation)
[[nodiscard]] Result<ChartPage> chart_page(const ClassChart& chart);

}  // namespace nestcup

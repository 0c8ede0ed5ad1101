#include "core/report/charts/class_range.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {

namespace {

/// What does not agree may take so many times the room of what does, on either side.
constexpr double most_beyond = 2.0;
constexpr double margin = 0.04;

/// Holds `value` as far as `limits` go.
void hold_within(Range& range, double value, const Range& limits) {
  range.hold(std::clamp(value, limits.low, limits.high));
}

Range agreed_range(const ClassChart& chart) {
  Range range{chart.robust_mean - chart.robust_sd, chart.robust_mean + chart.robust_sd};
  range.hold(chart.median);
  if (chart.accepted) {
    range.hold(chart.accepted->value - chart.accepted->u);
    range.hold(chart.accepted->value + chart.accepted->u);
  }
  for (const ClassChartBench& bench : chart.benches) {
    if (!bench.outlying) range.hold(bench.value);
  }
  return range;
}

/// A width for what has none: that of the bars, or of some digits of the value.
double least_size(const ClassChart& chart) {
  double widest_u = 0.0;
  for (const ClassChartBench& bench : chart.benches) widest_u = std::max(widest_u, bench.u);
  const double of_value = 1e-3 * std::abs(chart.robust_mean);
  return widest_u > 0.0 ? widest_u : (of_value > 0.0 ? of_value : 1.0);
}

}  // namespace

Range class_range(const ClassChart& chart) {
  Range range = agreed_range(chart);
  const double size = std::max(range.size(), least_size(chart));
  const Range limits{range.low - most_beyond * size, range.high + most_beyond * size};
  for (const ClassChartBench& bench : chart.benches) {
    hold_within(range, bench.value - 2.0 * bench.u, limits);
    hold_within(range, bench.value + 2.0 * bench.u, limits);
    for (const double run : bench.runs) hold_within(range, run, limits);
  }
  const double added = std::max(margin * range.size(), margin * size);
  // A value so large that its neighbours are far: the range still has a size.
  const double least = 1e-12 * std::max(std::abs(range.low), std::abs(range.high));
  return {range.low - std::max(added, least), range.high + std::max(added, least)};
}

}  // namespace nestcup

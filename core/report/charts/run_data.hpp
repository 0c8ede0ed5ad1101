// What a run's chart reads off its data before drawing: pieces between gaps, ranges, values of a
// line.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "core/base/result.hpp"
#include "core/report/charts/run_chart.hpp"
#include "core/report/drawing/ticks.hpp"

namespace nestcup {

/// Fails unless everything in `chart` can be drawn.
/// @errors bad_data
Result<void> check_chart(const RunChart& chart);

/// The readings cut wherever two neighbours are farther apart than five times the median spacing:
/// a line must not bridge what nobody measured.
[[nodiscard]] std::vector<std::span<const ChartPoint>> pieces_between_gaps(
    std::span<const ChartPoint> points);

/// The range of all times in the chart, s; never empty.
[[nodiscard]] Range time_range(const RunChart& chart);

/// The range of all temperatures in the chart, degC; at least 0.2 K wide.
[[nodiscard]] Range temperature_range(const RunChart& chart);

/// The range of the residuals' panel: about zero, all that was used and two standard deviations,
/// mK.
[[nodiscard]] Range residual_range_mK(const RunChart& chart);

/// The temperature of a polyline at `time_s`, degC; its nearest end outside of it, nothing where
/// it has no points.
[[nodiscard]] std::optional<double> line_at(std::span<const ChartPoint> line, double time_s);

}  // namespace nestcup

// Which values the axis of a class's chart shows.
#pragma once

#include "core/report/charts/class_chart.hpp"
#include "core/report/drawing/ticks.hpp"

namespace nestcup {

/// A range that holds what agrees, the statistics and the accepted value, and of the rest (bars,
/// single runs, outlying benches) what does not make that small; never empty.
[[nodiscard]] Range class_range(const ClassChart& chart);

}  // namespace nestcup

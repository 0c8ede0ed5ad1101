// The still parts of a run's chart: bands of the periods with their names, grid and axes.
#pragma once

#include "core/report/charts/run_frame.hpp"

namespace nestcup {

/// Height of the strip above the plot that holds the periods' names, pt.
inline constexpr double period_strip_height = 32.0;

/// Light bands for the three periods over the height of `plot`.
void fill_periods(Canvas& canvas, const RunChart& chart, const LinearScale& time,
                  const PageBox& plot);

/// The periods' names above the plot. A name wider than its band moves up a row and points down at
/// it.
void draw_period_names(Canvas& canvas, const RunChart& chart, const RunFrame& frame);

}  // namespace nestcup

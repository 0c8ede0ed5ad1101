// The still parts of a chart: heading, bands of the periods with their names, grid and axes.
#pragma once

#include "core/report/canvas.hpp"
#include "core/report/chart_frame.hpp"

namespace nestcup {

/// Height of the strip above the plot that holds the periods' names, pt.
inline constexpr double period_strip_height = 32.0;

/// Title and subtitles at the top of the page, from `left` on and cut to `width`.
/// @return where the heading ends, pt from the top
double draw_heading(Canvas& canvas, const RunChart& chart, double left, double width);

/// Light bands for the three periods and their names above the plot. A name wider than its band
/// moves up a row and points down at it.
void draw_periods(Canvas& canvas, const RunChart& chart, const ChartFrame& frame);

/// Grid, both axes, tick labels and the quantities with their units.
void draw_axes(Canvas& canvas, const ChartFrame& frame);

}  // namespace nestcup

// The moving parts of a chart: readings, fitted lines, the two moments and the corrected rise.
#pragma once

#include "core/report/canvas.hpp"
#include "core/report/chart_frame.hpp"

namespace nestcup {

/// Height of the lane at the foot of the plot that names mixing time and equal-area time, pt.
/// It takes a second row where the two names would not fit beside their lines in one.
/// @param plot  the box between the axes
[[nodiscard]] double moment_lane_height(Canvas& canvas, const RunChart& chart, const PageBox& plot);

/// Dotted lines at mixing time and equal-area time, named in the lane.
void draw_moments(Canvas& canvas, const RunChart& chart, const ChartFrame& frame);

/// Both series of readings, broken at gaps, with their names.
void draw_readings(Canvas& canvas, const RunChart& chart, const ChartFrame& frame);

/// The two fitted lines, and between them the corrected rise as a double arrow with its value.
void draw_rise(Canvas& canvas, const RunChart& chart, const ChartFrame& frame);

}  // namespace nestcup

// The moving parts of a run's chart: readings, fitted lines, moments, the rise, and the residuals.
#pragma once

#include "core/report/charts/run_frame.hpp"

namespace nestcup {

/// The cup's name stands right of the plot.
inline constexpr TextStyle cup_name_style{10.5, palette::cup, true};
inline constexpr double cup_name_gap = 8.0;

/// Height of the lane at the foot of the plot that names mixing time and equal-area time, pt.
/// It takes a second row where the two names would not fit beside their lines in one.
/// @param plot  the box between the axes
[[nodiscard]] double moment_lane_height(Canvas& canvas, const RunChart& chart, const PageBox& plot);

/// Dotted lines at mixing time and equal-area time, named in the lane.
void draw_moments(Canvas& canvas, const RunChart& chart, const RunFrame& frame);

/// The fitted course, as a broad pale line that the readings are drawn onto.
void draw_course(Canvas& canvas, const RunChart& chart, const RunFrame& frame);

/// Both series of readings, broken at gaps, with their names, and what was left out.
void draw_readings(Canvas& canvas, const RunChart& chart, const RunFrame& frame);

/// The two fitted lines, and between them the corrected rise as a double arrow with its value.
/// @param lane  height of the lane at the foot that has to stay free, pt
void draw_rise(Canvas& canvas, const RunChart& chart, const RunFrame& frame, double lane);

/// What was left out: a cross where it lies within the plot, else a pointer at the plot's edge.
void draw_left_out(Canvas& canvas, PagePoint at, const PageBox& plot);

/// The panel of the residuals with its band of two standard deviations and its axis.
/// @param time  the scale of the plot above
void draw_residuals(Canvas& canvas, const RunChart& chart, const LinearScale& time,
                    const PageBox& panel);

}  // namespace nestcup

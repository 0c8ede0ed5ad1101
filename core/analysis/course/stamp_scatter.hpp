// How unevenly readings are stamped: on a slope, time that a stamp is off by passes for scatter.
#pragma once

#include "core/analysis/course/mixing_course.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Standard deviation of single stamps about an even interval, s: that of the intervals over the
/// root of two, as each is the difference of two stamps. Where readings are missing an interval
/// counts for as many as it holds.
/// @return 0 with fewer than five readings
[[nodiscard]] double stamp_scatter_s(CurveView curve);

/// What a scatter of the stamps makes of readings along a course, K: times the root of the mean
/// square of the course's slope at the readings.
[[nodiscard]] double stamped_scatter_K(CurveView curve, const MixingCourse& course,
                                       double stamp_scatter_s);

}  // namespace nestcup

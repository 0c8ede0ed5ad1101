// How far readings lie from a course.
#pragma once

#include "core/analysis/course/mixing_course.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Sum of the squares of the readings about a course, K^2.
[[nodiscard]] double squares_K2(CurveView curve, const MixingCourse& course);

/// Root of the mean square of the readings about a course, K; 0 without readings.
[[nodiscard]] double misfit_K(CurveView curve, const MixingCourse& course);

}  // namespace nestcup

// The corrected rise of the fitted courses, with its budget.
#pragma once

#include "core/analysis/course/course_choice.hpp"
#include "core/analysis/rise/corrected_rise.hpp"
#include "core/analysis/rise/heat_leak.hpp"

namespace nestcup {

[[nodiscard]] RiseEstimate likely_rise(CurveView curve, const CourseChoice& choice);

/// End of the main period: from here on less than a fifth of the scatter of one reading is still
/// outstanding of the approach to the slow drift.
[[nodiscard]] double main_end_s(const CourseFit& fit, CurveView curve);

/// The two periods' courses as the probe shows them, for a main period that ends at `main_end_s`.
[[nodiscard]] HeatLeak leak_of(const CourseFit& fit, double main_end_s);

}  // namespace nestcup

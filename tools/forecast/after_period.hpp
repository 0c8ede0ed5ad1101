// What a longer or shorter after period would bring, from the information in the expected course.
#pragma once

#include "core/chemistry/expected_rise.hpp"
#include "tools/forecast/bench_plan.hpp"

namespace nestcup::forecast {

/// The after periods that a forecast compares, s.
inline constexpr double after_periods_s[] = {60.0, 120.0, 180.0, 300.0, 600.0};

/// Standard uncertainty (K) of the rise by the Fisher information of all (rounded) readings about
/// the expected course (core/analysis/course_problem), with what the analysis knows beforehand
/// (core/analysis/METHOD.md, sections 2 to 5). Without rehearsing: what goes on slowly behind the
/// mixing is not in it, so that ratios mean more than the value.
[[nodiscard]] double course_u_K(const ExpectedTrial& expected, const SheetTrial& trial,
                                const BenchPlan& bench, double after_period_s);

}  // namespace nestcup::forecast

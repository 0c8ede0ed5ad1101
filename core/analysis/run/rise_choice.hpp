// The estimates of a run's corrected rise, and which of them is used.
#pragma once

#include <optional>
#include <vector>

#include "core/analysis/course/course_choice.hpp"
#include "core/analysis/run/run_periods.hpp"

namespace nestcup {

struct RiseChoice {
  RiseEstimate used;
  std::vector<RiseEstimate> estimates;  ///< all, the used one too
  HeatLeak leak;                        ///< that of the used estimate
  CourseFit course;                     ///< the most probable
  bool used_course = false;             ///< whether `used` is the estimate of the courses
  LackOfFit lack;
  SlowPart slow = SlowPart::none;  ///< what goes on slowly in it
  Uncertain start_degC;            ///< cup at the mixing
  Uncertain final_degC;
};

/// Fits the courses of the mixing and divides the run by the most probable.
/// @param periods        at least three readings before, and three behind the hint
/// @param to_the_middle  see `weighed_courses`
[[nodiscard]] CourseChoice courses_of(RunPeriods& periods, bool to_the_middle);

/// Works out every estimate and chooses: maximum likelihood where its course describes the
/// readings, the Regnault-Pfaundler integral where it does not, straight lines where the after
/// period is too short for either.
/// @param periods  with at least three readings in foreperiod and after period
[[nodiscard]] RiseChoice choose_rise(RunPeriods& periods, const CourseChoice& courses);

}  // namespace nestcup

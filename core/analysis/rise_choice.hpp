// The estimates of a run's corrected rise, and which of them is used.
#pragma once

#include <optional>
#include <vector>

#include "core/analysis/lack_of_fit.hpp"
#include "core/analysis/run_periods.hpp"

namespace nestcup {

struct RiseChoice {
  RiseEstimate used;
  std::vector<RiseEstimate> estimates;  ///< all, the used one too
  HeatLeak leak;                        ///< that of the used estimate
  CourseFit course;
  LackOfFit lack;
  Uncertain start_degC;  ///< cup at the mixing
  Uncertain final_degC;
};

/// Fits the course of the mixing and divides the run by it.
/// @param periods  at least three readings before, and three behind the hint
/// @return the fit with one release or, where that does not describe the readings, with two
[[nodiscard]] CourseFit course_of(RunPeriods& periods, LackOfFit& lack);

/// Works out every estimate and chooses: maximum likelihood where its course describes the
/// readings, the Regnault-Pfaundler integral where it does not, straight lines where the after
/// period is too short for either.
/// @param periods  with at least three readings in foreperiod and after period
[[nodiscard]] RiseChoice choose_rise(RunPeriods& periods, const CourseFit& course,
                                     const LackOfFit& lack);

}  // namespace nestcup

// Whether the readings scatter about a fitted course as single readings would.
#pragma once

#include "core/analysis/course/course_fit.hpp"

namespace nestcup {

struct LackOfFit {
  double chi_squared = 0.0;  ///< of the sums over blocks of neighbouring readings
  double dof = 0.0;          ///< blocks less what the parameters take away
  double probability = 1.0;  ///< of at least this chi-squared with a course that fits

  /// By what the scatter of blocks exceeds that of single readings, beyond what chance explains
  /// (two standard deviations of chi-squared); 1 where it does not.
  [[nodiscard]] double surplus() const;
  /// The course does not describe the readings.
  [[nodiscard]] bool shows() const { return probability < 1e-3; }
};

/// Sums the scores of the readings (derivative of the log likelihood by the temperature expected)
/// over blocks of five or more neighbours; each over its information is one term.
[[nodiscard]] LackOfFit lack_of_fit(CurveView curve, const CourseFit& fit);

}  // namespace nestcup

// Straight line by least squares.
#pragma once

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// T(t) = at_reference_degC + slope_K_per_s (t - reference_s), reference = mean time, where the two
/// parameters are uncorrelated.
struct LineFit {
  double reference_s = 0.0;
  double at_reference_degC = 0.0;
  double slope_K_per_s = 0.0;
  double u_at_reference_K = 0.0;  ///< standard uncertainty for unit residual sd times `sd_K`
  double u_slope_K_per_s = 0.0;
  double sd_K = 0.0;  ///< residual standard deviation, n - 2 degrees of freedom
  std::size_t count = 0;

  [[nodiscard]] double at(double time_s) const;
  /// Standard uncertainty of at(time_s), K.
  [[nodiscard]] double u_at(double time_s) const;
};

/// @param curve  at least 2 points (with 2 the uncertainties are 0); fewer give a zero fit with
///               count 0 or a constant with count 1
/// Accuracy: NIST StRD Norris, estimates and standard deviations to 9 digits or better.
[[nodiscard]] LineFit fit_line(CurveView curve);

}  // namespace nestcup

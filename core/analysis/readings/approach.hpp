// How a probe that was put into a liquid comes to its temperature.
#pragma once

#include <Eigen/Dense>

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/base/uncertain.hpp"

namespace nestcup {

/// The drift of a liquid and what is left of a first-order approach to it:
///   T_p = level + slope (t - end) + rest exp(-(t - begin) / lag)
struct Approach {
  double begin_s = 0.0, end_s = 0.0;  ///< first and last reading
  double level_degC = 0.0;            ///< of the drift at the last reading
  double slope_K_per_s = 0.0;
  double rest_K = 0.0;  ///< at the first reading
  double lag_s = 0.0;
  Eigen::Matrix4d covariance = Eigen::Matrix4d::Zero();  ///< of level, slope, rest, ln(lag)
  double squares_K2 = 0.0;                               ///< what the course leaves
  std::size_t readings = 0;

  /// What is left of the approach, K.
  [[nodiscard]] double rest_at(double time_s) const;
  /// When no more than that is left, s.
  [[nodiscard]] double arrived_s(double little_K) const;
  /// Temperature of the liquid (the probe shows its drift a lag late), carried on or back.
  [[nodiscard]] Uncertain liquid_at(double time_s) const;
};

/// Expected drift of a liquid.
struct DriftPrior {
  double slope_K_per_s = 0.0, u_K_per_s = 0.03;
};

/// Least squares. Of the lag no more is known beforehand than of any probe's in stirred liquid or
/// in air.
/// @param curve  at least four readings, from somewhere on the approach or behind it
[[nodiscard]] Approach fit_approach(CurveView curve, const Noise& noise,
                                    const DriftPrior& prior = {});

}  // namespace nestcup

// The mean of a steady probe, and how well it is known.
#pragma once

#include <cstddef>

#include "core/analysis/readings/point.hpp"

namespace nestcup {

struct SteadyMean {
  double mean_degC = 0.0;
  double u_K = 0.0;              ///< standard uncertainty of the mean
  double sd_K = 0.0;             ///< scatter about the line through the readings
  double rounding_u_K = 0.0;     ///< part of u_K: the last digit, where the scatter hides in it
  double drift_K_per_min = 0.0;  ///< slope of that line
  double span_s = 0.0;
  std::size_t count = 0;
};

/// @param curve  at least 3 readings; fewer give u_K = 0
/// u has three parts: the scatter over the root of the number; the rounding of the last digit where
/// the scatter is too small to spread it (step / sqrt(12)); and the drift over the whole span as a
/// rectangular distribution, for the reference may be read at any time of it.
[[nodiscard]] SteadyMean steady_mean(CurveView curve);

}  // namespace nestcup

// Trials of the accuracy benchmark: drawn from stated distributions, integrated numerically,
// read off with noise and rounding; and the Cramer-Rao bound of each. Shares no code with the
// analysis.
#pragma once

#include <cstdint>
#include <random>
#include <vector>

#include "core/analysis/readings/point.hpp"

namespace nestcup::bench {

/// How the leak rate goes from its value before to that after.
enum class RateChange { with_pour, at_start, at_end };

struct Trial {
  double start_degC = 21.0;  ///< cup at the start of the pour
  double rest_degC = 21.5;
  double rate_per_s = 3e-4;  ///< after the pour
  double ratio = 1.4;        ///< rate before over rate after
  double rise_K = 6.0;
  double mixing_s = 90.0;
  double pour_s = 2.0;
  double release_s = 3.0;
  double lag_s = 3.0;
  double end_s = 330.0;
  double interval_s = 0.5;
  double noise_K = 0.01;
  double step_K = 0.01;
  RateChange change = RateChange::with_pour;
};

/// Steps and noise of the display: those of a fine, or of a coarse one.
enum class Display { fine, coarse };

/// One trial of the grid. Log-uniform: rise 0.5 to 20 K of either sign, rate after mixing 1e-4 to
/// 8e-4 per s, release 0.5 to 25 s, lag 1 to 10 s. Uniform: pour 1 to 5 s, foreperiod 60 to 150 s,
/// start within 1.5 K of the rest temperature. One of: ratio 1, 1.4, 2; interval 0.2, 0.5, 1, 2 s;
/// after period 180, 240, 300 s; fine displays: noise 5, 10, 20, 50 mK, step 1, 10, 31, 62.5 mK but
/// at most three times the noise; coarse ones: noise 5, 10, 20 mK on 62.5 and 100 mK.
[[nodiscard]] Trial drawn_trial(std::mt19937_64& random, Display display);

/// What the probe shows without noise, at the trial's reading times (fourth-order Runge-Kutta).
[[nodiscard]] std::vector<double> smooth_course(const Trial& trial);

/// The readings: smooth course, normal noise, rounding.
[[nodiscard]] Curve readings_of(const Trial& trial, std::mt19937_64& random);

/// Cramer-Rao bounds of a trial: Fisher information of rounded readings, all nine parameters
/// unknown (derivatives by central differences).
struct Bounds {
  double rise_K = 0.0;
  double mixing_s = 0.0;
};
[[nodiscard]] Bounds bounds_of(const Trial& trial);

}  // namespace nestcup::bench

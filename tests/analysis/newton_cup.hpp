// A cup that follows Newton's law exactly, without noise: what the methods must get right.
#pragma once

#include <cstdint>
#include <vector>

#include "core/analysis/readings/point.hpp"
#include "core/analysis/rise/heat_leak.hpp"

namespace nestcup {

/// Heat that is set free at first order from the mixing on.
struct Release {
  double rise_K = 6.0;   ///< what it would do to an adiabatic cup
  double delay_s = 3.0;  ///< time constant
  double lid_s = 0.0;    ///< of a lid that follows it and takes heat up at a negative rise; 0: none
};

/// dT/dt = k (rest - T) + releases; the probe follows through a first-order lag that has settled
/// before the first reading.
struct NewtonCup {
  double start_degC = 21.0;  ///< contents at time 0
  double rest_degC = 23.0;
  double rate_per_s = 3e-4;
  double after_rate_per_s = 3e-4;  ///< from the mixing on
  std::vector<Release> releases{{}};
  double lag_s = 0.0;  ///< 0: the probe is the cup
  double mixing_s = 90.0;
  double end_s = 300.0;
  double interval_s = 0.5;
};

/// Readings from time 0 on (fourth-order Runge-Kutta in steps of at most 20 ms: exact to 1e-9 K).
[[nodiscard]] Curve newton_curve(const NewtonCup& cup);

/// The model's parameters of such a cup as the probe shows them, for a main period up to a reading
/// at `main_end_s`; zero covariance.
[[nodiscard]] HeatLeak true_leak(const NewtonCup& cup, CurveView curve, double main_end_s);

/// Adds normal noise and rounds to `step_K` (0: not at all).
[[nodiscard]] Curve with_noise(Curve curve, double sd_K, double step_K, std::uint64_t seed);

}  // namespace nestcup

// A scenario of one trial from a handful of figures, for tests and benchmarks.
#pragma once

#include <cstdint>

#include "sim/scenario.hpp"

namespace nestcup::sim {

/// One trial with one probe, in the terms in which a method of analysis sees it.
struct OneTrial {
  double rise_K = 6.0;              ///< corrected rise, either sign
  double leak_before_per_s = 5e-4;  ///< leak rate h/C in the foreperiod, >= 0
  double leak_after_per_s = 3e-4;   ///< in the after period, >= 0
  double stirring_K_per_s = 0.0;    ///< warming by the stirrer in the foreperiod
  double pour_s = 2.0;
  double release_s = 3.0;      ///< 0 for liquids that only mix
  double lag_s = 4.0;          ///< of the probe
  double foreperiod_s = 90.0;  ///< the mixing time
  double after_s = 210.0;      ///< from the mixing to the end
  double start_degC = 21.0;    ///< contents at time 0
  double room_degC = 22.0;
  double room_drift_K_per_h = 0.0;
  double interval_s = 0.5;
  double noise_K = 0.008;
  double step_K = 0.01;  ///< 0 for none
  std::uint64_t seed = 1;
};

/// The scenario of a trial. The truth of its simulation has exactly one entry, with rise_K to
/// rounding. Where the leak rate falls, liquid as warm as the cup is poured in (h stays, C grows);
/// where it rises, h itself changes during the pour.
[[nodiscard]] Scenario one_trial_scenario(const OneTrial& trial);

}  // namespace nestcup::sim

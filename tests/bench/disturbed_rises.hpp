// Mixings soon behind something else that happened at the bench, drawn at random.
#pragma once

#include <cstdint>
#include <string_view>

#include "core/analysis/readings/point.hpp"
#include "sim/one_trial.hpp"
#include "sim/random.hpp"

namespace nestcup::bench {

/// What happened before the foreperiod.
enum class Before {
  air,   ///< the probe hung in air from the first reading on, then came into the cup
  lift,  ///< it stood in the cup, was lifted out, and was put back
  heat,  ///< something warmed the cup
  count
};

[[nodiscard]] std::string_view before_name(Before before);

struct DisturbedRise {
  Before before = Before::air;
  sim::OneTrial trial;     ///< with the time of the mixing from the first reading on
  double from_s = 0.0;     ///< it happened from here
  double until_s = 0.0;    ///< to here: the foreperiod begins
  double air_lag_s = 0.0;  ///< of the probe
  double evaporation_K = 0.0, dry_s = 0.0;
  double warming_K = 0.0;
};

/// A small rise (small_rises.hpp), but up to 20 K; 60 to 150 s before it something ends that took
/// 20 to 200 s and began at once (air) or 80 to 200 s behind the first reading. The probe's ways in
/// air as in the quiet hours; warming 1 to 20 K. Ten minutes are read behind the mixing at least.
[[nodiscard]] DisturbedRise drawn_disturbed_rise(sim::Random& random);

/// The cup's readings.
[[nodiscard]] Curve readings_of(const DisturbedRise& rise);

}  // namespace nestcup::bench

// Mixings down to the smallest that must be found, drawn at random, through the simulator.
#pragma once

#include "core/analysis/readings/point.hpp"
#include "sim/one_trial.hpp"
#include "sim/random.hpp"

namespace nestcup::bench {

/// Smallest rise that must be found, K: 0.15 K, or eight times the scatter of one reading, rounding
/// included.
[[nodiscard]] double threshold_K(double noise_K, double step_K);

/// One trial. Rise of either sign, log-uniform from the threshold to 5 K; pour 1 to 5 s, release
/// log-uniform 0.5 to 40 s; one in five a powder that dissolves over two minutes (put in over 2 to
/// 20 s, release 30 to 60 s). Lag 1 to 10 s, leak and start as in the accuracy grid, foreperiod 60
/// to 150 s, after the mixing 180 to 300 s and four releases. Intervals, noise and steps as in the
/// quiet hours.
[[nodiscard]] sim::OneTrial drawn_small_rise(sim::Random& random);

/// The first probe's readings.
[[nodiscard]] Curve readings_of(const sim::Scenario& scenario, std::uint64_t seed);
[[nodiscard]] Curve readings_of(const sim::OneTrial& trial);

/// Whether a run is that of the trial: its first reading off the line lies in the main period.
[[nodiscard]] bool is_run_of(const sim::OneTrial& trial, double onset_s);

}  // namespace nestcup::bench

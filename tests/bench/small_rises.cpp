#include "tests/bench/small_rises.hpp"

#include <algorithm>
#include <cmath>

#include "sim/simulate.hpp"
#include "tests/bench/draw.hpp"

namespace nestcup::bench {

double threshold_K(double noise_K, double step_K) {
  return std::max(0.15, 8.0 * std::sqrt(noise_K * noise_K + step_K * step_K / 12.0));
}

sim::OneTrial drawn_small_rise(sim::Random& random) {
  sim::OneTrial trial;
  trial.interval_s = one_of(random, intervals_s);
  trial.noise_K = log_uniform(random, 0.005, 0.05);
  trial.step_K = one_of(random, steps_K);
  trial.rise_K = sign(random) * log_uniform(random, threshold_K(trial.noise_K, trial.step_K), 5.0);
  trial.leak_after_per_s = log_uniform(random, 1e-4, 8e-4);
  trial.leak_before_per_s = trial.leak_after_per_s * uniform(random, 1.0, 2.0);
  trial.room_degC = uniform(random, 19.0, 24.0);
  trial.start_degC = trial.room_degC + uniform(random, -1.5, 1.5);
  trial.lag_s = log_uniform(random, 1.0, 10.0);
  const bool powder = random.uniform() < 0.2;
  trial.pour_s = powder ? uniform(random, 2.0, 20.0) : uniform(random, 1.0, 5.0);
  trial.release_s = powder ? log_uniform(random, 30.0, 60.0) : log_uniform(random, 0.5, 40.0);
  trial.foreperiod_s = uniform(random, 60.0, 150.0);
  trial.after_s = one_of(random, std::array{180.0, 240.0, 300.0}) + 4.0 * trial.release_s;
  trial.seed = random.below(1U << 30U);
  return trial;
}

Curve readings_of(const sim::Scenario& scenario, std::uint64_t seed) {
  const sim::SimulatedRun run = simulate(scenario, seed);
  Curve curve;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    curve.push_back({run.time_s[i], run.probes[0].temperature_degC[i]});
  }
  return curve;
}

Curve readings_of(const sim::OneTrial& trial) {
  return readings_of(one_trial_scenario(trial), trial.seed);
}

bool is_run_of(const sim::OneTrial& trial, double onset_s) {
  const double since_s = onset_s - trial.foreperiod_s;
  return since_s > -std::max(2.0, 1.5 * trial.interval_s) &&
         since_s < trial.pour_s + 2.0 * (trial.release_s + trial.lag_s) + 3.0 * trial.interval_s;
}

}  // namespace nestcup::bench

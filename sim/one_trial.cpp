#include "sim/one_trial.hpp"

namespace nestcup::sim {

Scenario one_trial_scenario(const OneTrial& trial) {
  // Only ratios to the heat capacity show in a trace, so any will do.
  constexpr double capacity_J_per_K = 240.0;
  Scenario scenario;
  scenario.name = "one-trial";
  scenario.seed = trial.seed;
  scenario.duration_s = trial.foreperiod_s + trial.after_s;
  scenario.interval_s = trial.interval_s;
  scenario.room.temperature_degC = trial.room_degC;
  scenario.room.drift_K_per_h = trial.room_drift_K_per_h;
  scenario.cup = {capacity_J_per_K, trial.start_degC, trial.leak_before_per_s * capacity_J_per_K,
                  trial.stirring_K_per_s * capacity_J_per_K};
  ProbeSettings probe;
  probe.name = "cup";
  probe.lag_s = trial.lag_s;
  probe.noise_K = trial.noise_K;
  probe.step_K = trial.step_K;
  scenario.probes = {probe};

  Mix mix;
  mix.trial = "trial";
  mix.pour_s = trial.pour_s;
  mix.release_s = trial.release_s;
  mix.from = Source::cup;
  double capacity_after = capacity_J_per_K;
  if (trial.leak_after_per_s > 0.0 && trial.leak_after_per_s <= trial.leak_before_per_s) {
    capacity_after *= trial.leak_before_per_s / trial.leak_after_per_s;
    mix.added_J_per_K = capacity_after - capacity_J_per_K;
  } else {
    mix.leak_after_W_per_K = trial.leak_after_per_s * capacity_J_per_K;
  }
  mix.heat_J = trial.rise_K * capacity_after;
  scenario.events = {{trial.foreperiod_s, mix}};
  return scenario;
}

}  // namespace nestcup::sim

// Mixings soon behind a move of the probe.
#include "sim/one_trial.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

/// The probe hangs in air from `lifted_s` on, as much colder as it is wet, and is in the cup again
/// from `back_s` on.
sim::Scenario behind_air(const sim::OneTrial& trial, double lifted_s, double back_s,
                         double evaporation_K) {
  sim::Scenario scenario = one_trial_scenario(trial);
  scenario.probes[0].evaporation_K = evaporation_K;
  scenario.events.insert(scenario.events.begin(), {{lifted_s, sim::CarryProbe{0, sim::Place::air}},
                                                   {back_s, sim::CarryProbe{0, sim::Place::cup}}});
  return scenario;
}

/// Whether one run is found with each of five seeds, its first reading off the line in the main
/// period.
void check_found(const sim::Scenario& scenario, const sim::OneTrial& trial) {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const auto runs = followed(bench_readings(simulate(scenario, seed)));
    INFO("seed " << seed);
    REQUIRE(runs.size() == 1);
    const double since_s = to_s(runs[0].onset_us) - trial.foreperiod_s;
    CHECK(since_s > -2.0);
    CHECK(since_s < 15.0);
  }
}

}  // namespace

TEST_CASE("a foreperiod begins behind the probe's way out of air, however small its step was") {
  sim::OneTrial trial;
  trial.rise_K = 13.0;
  trial.start_degC = 22.5;
  trial.lag_s = 5.0;
  trial.interval_s = 2.0;
  trial.noise_K = 0.006;
  trial.foreperiod_s = 130.0;
  trial.after_s = 300.0;
  check_found(behind_air(trial, 0.0, 36.0, 2.0), trial);
}

TEST_CASE("a mixing is found behind a move that nobody has judged when the readings end") {
  sim::OneTrial trial;
  trial.rise_K = -19.0;
  trial.start_degC = 23.0;
  trial.lag_s = 3.5;
  trial.noise_K = 0.015;
  trial.foreperiod_s = 112.0;
  trial.after_s = 190.0;
  check_found(behind_air(trial, 0.0, 45.0, 2.0), trial);
}

TEST_CASE("what is left of a probe's way back to its line is neither drift nor onset") {
  sim::OneTrial trial;
  trial.rise_K = -4.0;
  trial.lag_s = 8.0;
  trial.interval_s = 1.0;
  trial.noise_K = 0.01;
  trial.foreperiod_s = 280.0;
  trial.after_s = 300.0;
  check_found(behind_air(trial, 130.0, 190.0, 1.2), trial);
}

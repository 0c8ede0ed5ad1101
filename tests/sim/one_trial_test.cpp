// Trials made from figures have those figures.
#include "sim/one_trial.hpp"

#include <cmath>

#include "sim/simulate.hpp"
#include "tests/catch.hpp"

using namespace nestcup::sim;

namespace {

/// The leak rate (1/s) seen between two times in a room of constant temperature, no stirring.
double rate_between(const Scenario& scenario, double from_s, double to_s) {
  Bench bench(scenario, 1);
  bench.advance_to(from_s);
  const double first = bench.cup_degC() - scenario.room.temperature_degC;
  bench.advance_to(to_s);
  const double second = bench.cup_degC() - scenario.room.temperature_degC;
  return std::log(first / second) / (to_s - from_s);
}

}  // namespace

TEST_CASE("a made trial has the rise, the mixing time and the leak rates asked for") {
  OneTrial trial;
  trial.rise_K = GENERATE(6.4, -3.5, 0.15);
  trial.leak_after_per_s = GENERATE(3e-4, 5e-4, 8e-4, 0.0);
  trial.release_s = GENERATE(0.0, 8.0);
  trial.room_degC = 25.0;
  const Scenario scenario = one_trial_scenario(trial);
  const SimulatedRun run = simulate(scenario, trial.seed);
  REQUIRE(run.truth.size() == 1);
  CHECK_THAT(run.truth[0].corrected_rise_K, WithinAbs(trial.rise_K, 1e-10));
  CHECK(run.truth[0].mixing_time_s == trial.foreperiod_s);
  CHECK(run.time_s.back() == trial.foreperiod_s + trial.after_s);
  CHECK_THAT(rate_between(scenario, 0.0, 90.0), WithinAbs(trial.leak_before_per_s, 1e-9));
  CHECK_THAT(rate_between(scenario, 290.0, 300.0), WithinAbs(trial.leak_after_per_s, 1e-9));
}

TEST_CASE("a made trial reads as its probe would") {
  OneTrial trial;
  trial.noise_K = 0.0;
  trial.step_K = 0.0;
  trial.stirring_K_per_s = 1e-4;
  const SimulatedRun run = simulate(one_trial_scenario(trial), trial.seed);
  REQUIRE(run.probes.size() == 1);
  CHECK(run.probes[0].name == "cup");
  CHECK_THAT(run.probes[0].temperature_degC.front(), WithinAbs(21.0, 1e-12));
  // In the foreperiod: rest temperature 22 + 1e-4/5e-4, rate 5e-4/s, a lag of 4 s behind.
  const double cup = 22.2 - 1.2 * std::exp(-5e-4 * 90.0);
  const double lag = 4.0 * 5e-4 * 1.2 * std::exp(-5e-4 * 90.0);
  CHECK_THAT(run.probes[0].temperature_degC.at(180), WithinAbs(cup - lag, 1e-5));
}

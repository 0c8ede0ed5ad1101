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
  const sim::OneTrial trial{.rise_K = 13.0,
                            .lag_s = 5.0,
                            .foreperiod_s = 130.0,
                            .after_s = 300.0,
                            .start_degC = 22.5,
                            .interval_s = 2.0,
                            .noise_K = 0.006};
  check_found(behind_air(trial, 0.0, 36.0, 2.0), trial);
}

TEST_CASE("a mixing is found behind a move that nobody has judged when the readings end",
          "[many]") {
  const sim::OneTrial trial{.rise_K = -19.0,
                            .lag_s = 3.5,
                            .foreperiod_s = 112.0,
                            .after_s = 190.0,
                            .start_degC = 23.0,
                            .noise_K = 0.015};
  check_found(behind_air(trial, 0.0, 45.0, 2.0), trial);
}

TEST_CASE("what is left of a probe's way back to its line is neither drift nor onset") {
  const sim::OneTrial trial{.rise_K = -4.0,
                            .lag_s = 8.0,
                            .foreperiod_s = 280.0,
                            .after_s = 300.0,
                            .interval_s = 1.0,
                            .noise_K = 0.01};
  check_found(behind_air(trial, 130.0, 190.0, 1.2), trial);
}

TEST_CASE("a steep line of a probe in air is no place to come back to", "[many]") {
  const sim::OneTrial trial{.rise_K = -14.5,
                            .lag_s = 5.4,
                            .foreperiod_s = 142.0,
                            .after_s = 580.0,
                            .start_degC = 23.2,
                            .interval_s = 0.2,
                            .noise_K = 0.03};
  check_found(behind_air(trial, 0.0, 69.0, 2.0), trial);
}

TEST_CASE("what a probe read that was put back is no foreperiod, however few the readings are") {
  const sim::OneTrial trial{.rise_K = 1.3,
                            .lag_s = 7.6,
                            .foreperiod_s = 410.0,
                            .after_s = 500.0,
                            .start_degC = 24.0,
                            .interval_s = 20.0,
                            .noise_K = 0.006};
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const auto bench = bench_readings(simulate(behind_air(trial, 175.0, 265.0, 2.0), seed));
    const auto runs = followed(bench);
    INFO("seed " << seed);
    REQUIRE(runs.size() == 1);
    const RunInput input = run_input(runs[0], bench.roles);
    for (const Point& point : input.cup) CHECK((point.time_s < 175.0 || point.time_s > 265.0));
    CHECK(input.cup.size() + 5 <= runs[0].readings.size());
    const RiseEstimate rise = analyse_run(input).rise;
    CHECK_THAT(rise.value_K, WithinAbs(trial.rise_K, 0.1));
    CHECK(rise.u_K < 0.05);
  }
}

TEST_CASE("what is watched anew has every reading") {
  const sim::OneTrial trial{.rise_K = -16.7,
                            .lag_s = 3.4,
                            .foreperiod_s = 359.0,
                            .after_s = 400.0,
                            .interval_s = 20.0,
                            .noise_K = 0.006};
  sim::Scenario scenario = one_trial_scenario(trial);
  const double heat_W = 6.0 * scenario.cup.heat_capacity_J_per_K / 104.0;
  scenario.events.insert(scenario.events.begin(), {148.0, sim::Heat{"heater", heat_W, 104.0}});
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const auto runs = followed(bench_readings(simulate(scenario, seed)));
    INFO("seed " << seed);
    REQUIRE(runs.size() == 1);
    CHECK(to_s(runs[0].onset_us) == 380.0);
  }
}

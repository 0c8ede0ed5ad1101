// Trial after trial in one cup that is filled anew, also where readings are missing.
#include <algorithm>
#include <cmath>

#include "core/analysis/run/run_follower.hpp"
#include "tests/analysis/followed.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

RunFollower::Settings short_after_period() {
  RunFollower::Settings settings;
  settings.after_period_s = 60.0;
  return settings;
}

}  // namespace

TEST_CASE("the cup is filled anew and soon poured into, with one probe and with two", "[many]") {
  for (const double foreperiod_s : {55.0, 60.0, 75.0, 90.0, 120.0, 204.0}) {
    for (const bool one_probe : {true, false}) {
      INFO("filled anew " << foreperiod_s << " s before, one probe: " << one_probe);
      sim::Scenario scenario = equal_trials(4, 204.0 - foreperiod_s);
      if (one_probe) scenario.probes.resize(1);
      const sim::SimulatedRun simulated = simulate(scenario, 3);
      const BenchReadings bench = bench_readings(simulated);
      const auto runs = followed(bench, short_after_period());
      REQUIRE(runs.size() == simulated.truth.size());
      for (std::size_t i = 0; i < runs.size(); ++i) {
        const RunAnalysis run = analyse_run(run_input(runs[i], bench.roles));
        REQUIRE(run.usable());
        CHECK_THAT(to_s(runs[i].onset_us), WithinAbs(simulated.truth[i].mixing_time_s, 6.0));
        CHECK_THAT(run.rise.value_K,
                   WithinAbs(simulated.truth[i].corrected_rise_K, 3.5 * run.rise.u_K));
      }
    }
  }
}

TEST_CASE("missing readings hide no pour into the cup that was filled anew") {
  // They split what the probe reads in the new filling, so that its last part is short.
  for (const double first_gap_s : {16.0, 21.0, 31.0}) {
    INFO("gaps of 14 s every 41 s, from " << first_gap_s << " s on");
    sim::Scenario scenario = equal_trials(4, 114.0);
    scenario.probes.resize(1);
    const sim::SimulatedRun simulated = simulate(scenario, 3);
    BenchReadings bench = bench_readings(simulated);
    std::erase_if(bench.readings, [&](const Reading& reading) {
      return std::fmod(to_s(reading.time_us) + 41.0 - first_gap_s, 41.0) < 14.0;
    });
    const auto runs = followed(bench, short_after_period());
    REQUIRE(runs.size() == simulated.truth.size());
    for (std::size_t i = 0; i < runs.size(); ++i) {
      const RunAnalysis run = analyse_run(run_input(runs[i], bench.roles));
      CHECK_THAT(run.rise.value_K,
                 WithinAbs(simulated.truth[i].corrected_rise_K, 3.0 * run.rise.u_K));
    }
  }
}

TEST_CASE("a gap over the probe's lifting does not take the run before it along", "[many]") {
  const sim::SimulatedRun simulated = simulate(equal_trials(1), 3);
  for (const double gap_s : {4.0, 6.0, 8.0}) {
    for (double from_s = 275.0; from_s < 307.0; from_s += 2.0) {
      INFO("gap from " << from_s << " s on, " << gap_s << " s long");
      BenchReadings bench = bench_readings(simulated);
      std::erase_if(bench.readings, [&](const Reading& reading) {
        return reading.time_us > to_us(from_s) && reading.time_us < to_us(from_s + gap_s);
      });
      const auto runs = followed(bench);
      REQUIRE(runs.size() == 1);
      const RunAnalysis run = analyse_run(run_input(runs[0], bench.roles));
      CHECK_THAT(run.rise.value_K,
                 WithinAbs(simulated.truth.at(0).corrected_rise_K, 3.0 * run.rise.u_K));
    }
  }
}

TEST_CASE("a run has every reading from its first to its last") {
  // The probe stands in the second vessel for longer than a foreperiod is kept.
  sim::Scenario scenario = equal_trials(1);
  scenario.probes.resize(1);
  scenario.duration_s = 1400.0;
  scenario.events = {{100.0, sim::CarryProbe{0, sim::Place::air}},
                     {108.0, sim::CarryProbe{0, sim::Place::added}},
                     {900.0, sim::CarryProbe{0, sim::Place::air}},
                     {908.0, sim::CarryProbe{0, sim::Place::cup}},
                     {1050.3, std::get<sim::Mix>(scenario.events.front().what)}};
  const BenchReadings bench = bench_readings(simulate(scenario, 3));
  const auto runs = followed(bench);
  REQUIRE(runs.size() == 1);
  CHECK(runs[0].tour);
  const TimeUs first_us = runs[0].readings.front().time_us;
  const TimeUs last_us = runs[0].readings.back().time_us;
  CHECK(first_us < to_us(200.0));
  CHECK(std::ranges::count_if(bench.readings, [&](const Reading& reading) {
          return reading.time_us >= first_us && reading.time_us <= last_us;
        }) == std::ssize(runs[0].readings));
}

#include "tests/analysis/followed.hpp"

#include "tests/catch.hpp"

namespace nestcup {

BenchReadings bench_readings(const sim::SimulatedRun& run, TimeUs begin_us, TimeUs apart_us) {
  BenchReadings bench;
  for (const sim::ProbeTrace& probe : run.probes) {
    const auto role = role_from_name(probe.name);
    REQUIRE(role);
    bench.roles.push_back(*role);
  }
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    for (std::size_t probe = 0; probe < run.probes.size(); ++probe) {
      Reading reading;
      reading.probe = static_cast<std::uint16_t>(probe);
      reading.time_us = begin_us + to_us(run.time_s[i]) + static_cast<TimeUs>(probe) * apart_us;
      reading.temperature_degC = reading.raw = run.probes[probe].temperature_degC[i];
      bench.readings.push_back(reading);
    }
  }
  return bench;
}

BenchReadings cup_readings(CurveView curve, TimeUs begin_us) {
  BenchReadings bench;
  bench.roles = {ProbeRole::cup};
  for (const Point& point : curve) {
    const double degC = point.temperature_degC;
    bench.readings.push_back({0, begin_us + to_us(point.time_s), degC, degC});
  }
  return bench;
}

sim::Scenario shipped_scenario(const std::string& name) {
  const std::string folder = std::string(NESTCUP_SOURCE_DIR) + "/sim/scenarios/";
  auto scenario = sim::read_scenario(folder + name + ".toml");
  REQUIRE(scenario);
  return *scenario;
}

sim::Scenario equal_trials(int trials, double sooner_s) {
  const double apart_s = 360.0 - sooner_s;
  sim::Scenario scenario;
  scenario.duration_s = 360.0 + apart_s * (trials - 1) + 100.0;
  scenario.room.temperature_degC = 21.5;
  scenario.cup.heat_capacity_J_per_K = 237.0;
  scenario.cup.temperature_degC = 20.9;
  scenario.added.temperature_degC = 40.0;
  scenario.probes.resize(2);
  scenario.probes[0].name = "cup";
  scenario.probes[1].name = "added";
  scenario.probes[1].place = sim::Place::added;
  sim::Mix mix;
  mix.added_J_per_K = 205.6;
  mix.from = sim::Source::added;
  for (int trial = 0; trial < trials; ++trial) {
    const double begin_s = apart_s * trial;
    scenario.events.push_back({begin_s + 150.3, mix});
    scenario.events.push_back({begin_s + 285.0, sim::CarryProbe{0, sim::Place::air}});
    scenario.events.push_back({begin_s + 295.0, sim::FreshCup{scenario.cup}});
    scenario.events.push_back({begin_s + 295.0, sim::FreshAdded{scenario.added}});
    scenario.events.push_back({begin_s + 306.0, sim::CarryProbe{0, sim::Place::cup}});
  }
  return scenario;
}

std::vector<FinishedRun> followed(const BenchReadings& bench, RunFollower::Settings settings,
                                  const Operator& hand) {
  RunFollower follower(settings, bench.roles);
  std::vector<FinishedRun> runs;
  const auto take = [&] {
    while (auto run = follower.take_finished()) runs.push_back(std::move(*run));
  };
  for (const Reading& reading : bench.readings) {
    follower.feed(reading);
    if (hand) hand(follower, reading.time_us);
    take();
  }
  follower.end_of_data();
  take();
  return runs;
}

}  // namespace nestcup

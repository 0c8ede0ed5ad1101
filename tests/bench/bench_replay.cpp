// How fast the analysis goes through a trace: a day at the bench, and quiet logs of two lengths.
//
// bench_replay [--short] [FOLDER of the scenarios] prints one figure a line: name, value, unit.
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string_view>

#include "core/record/replay.hpp"
#include "sim/scenario.hpp"
#include "sim/simulate.hpp"

namespace nestcup::bench {
namespace {

constexpr double hour_s = 3600.0;

sim::Scenario scenario(const std::string& path) {
  auto read = sim::read_scenario(path);
  if (read) return std::move(read).value();
  fmt::print(stderr, "bench_replay: {}\n", read.error().text);
  std::exit(66);
}

/// The scenario's readings, over and over until `length_s` is full.
Trace trace_of(const sim::Scenario& scenario, double length_s) {
  const sim::SimulatedRun run = sim::simulate(scenario, scenario.seed);
  Trace trace;
  trace.name = scenario.name;
  for (const sim::ProbeTrace& probe : run.probes) {
    trace.roles.push_back(role_from_name(probe.name).value());
  }
  const double lap_s = run.time_s.back() + scenario.interval_s;
  for (double begin_s = 0.0; begin_s < length_s; begin_s += lap_s) {
    for (std::size_t i = 0; i < run.time_s.size() && begin_s + run.time_s[i] < length_s; ++i) {
      for (std::size_t probe = 0; probe < run.probes.size(); ++probe) {
        const double degC = run.probes[probe].temperature_degC[i];
        const TimeUs time_us = to_us(begin_s + run.time_s[i]);
        trace.readings.push_back({static_cast<std::uint16_t>(probe), time_us, degC, degC});
      }
    }
  }
  return trace;
}

struct Pace {
  double per_reading_us = 0.0;
  std::size_t runs = 0;
};

/// The best of some passes: what other programs take from the machine is not the analysis' cost.
Pace replay_pace(const Trace& trace, int passes) {
  Pace pace;
  for (int pass = 0; pass < passes; ++pass) {
    const auto begun = std::chrono::steady_clock::now();
    pace.runs = replay_trace(trace, {}, [] { return std::string("bench"); }).size();
    const std::chrono::duration<double, std::micro> took = std::chrono::steady_clock::now() - begun;
    const double cost_us = took.count() / static_cast<double>(trace.readings.size());
    pace.per_reading_us = pass == 0 ? cost_us : std::min(pace.per_reading_us, cost_us);
  }
  return pace;
}

void bench_day(const std::string& folder, double interval_s, double length_s) {
  sim::Scenario day = scenario(folder + "/oxide-day.toml");
  day.interval_s = interval_s;
  const Trace trace = trace_of(day, length_s);
  const Pace pace = replay_pace(trace, 1);
  const std::string name = fmt::format("replay.day_{:g}_hz", 1.0 / interval_s);
  fmt::print("{}.readings {} 1\n", name, trace.readings.size());
  fmt::print("{}.runs_found {} 1\n", name, pace.runs);
  fmt::print("{}.speed {:.0f} readings/s\n", name, 1e6 / pace.per_reading_us);
  std::fflush(stdout);
}

/// Cost must not grow with the length of the log.
void bench_quiet(const std::string& folder, double short_s, double long_s) {
  sim::Scenario quiet = scenario(folder + "/quiet.toml");
  quiet.events.clear();
  quiet.duration_s = long_s;
  const Pace brief = replay_pace(trace_of(quiet, short_s), 5);
  const Pace whole = replay_pace(trace_of(quiet, long_s), 2);
  fmt::print("replay.quiet_{:g}_h.cost {:.3f} us/reading\n", short_s / hour_s,
             brief.per_reading_us);
  fmt::print("replay.quiet_{:g}_h.cost {:.3f} us/reading\n", long_s / hour_s, whole.per_reading_us);
  fmt::print("replay.quiet_cost_ratio {:.3f} 1\n", whole.per_reading_us / brief.per_reading_us);
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  using namespace nestcup::bench;
  const bool is_short = argc > 1 && std::string_view(argv[1]) == "--short";
  const std::string folder = argc > 1 && !is_short ? argv[1] : argc > 2 ? argv[2] : SCENARIOS;
  bench_day(folder, 0.5, is_short ? hour_s : 24.0 * hour_s);
  bench_day(folder, 0.1, is_short ? 0.5 * hour_s : 24.0 * hour_s);
  bench_quiet(folder, is_short ? 0.25 * hour_s : hour_s, is_short ? hour_s : 10.0 * hour_s);
}

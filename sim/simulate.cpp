#include "sim/simulate.hpp"

#include <cmath>
#include <limits>

#include "core/base/clock.hpp"
#include "core/base/numbers.hpp"

namespace nestcup::sim {

namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

}  // namespace

double reading_time_s(const Scenario& scenario, std::int64_t index) {
  return to_s(to_us(static_cast<double>(index) * scenario.interval_s));
}

SimulatedRun simulate(const Scenario& scenario, std::uint64_t seed) {
  SimulatedRun run;
  for (const ProbeSettings& probe : scenario.probes) {
    run.probes.push_back({probe.name, probe.step_K, {}});
  }
  Bench bench(scenario, seed);
  for (std::int64_t index = 0;; ++index) {
    const double time_s = reading_time_s(scenario, index);
    if (time_s > scenario.duration_s) break;
    bench.advance_to(time_s);
    const std::vector<double> readings = bench.read();
    run.time_s.push_back(time_s);
    for (std::size_t i = 0; i < readings.size(); ++i) {
      const bool whole = bench.condition(i) == Condition::whole;
      run.probes[i].temperature_degC.push_back(whole ? readings[i] : nan);
    }
  }
  run.truth = bench.truth();
  return run;
}

std::string trace_csv(const SimulatedRun& run) {
  std::string text = "time_s";
  for (const ProbeTrace& probe : run.probes) text += "," + probe.name + "_degC";
  text += '\n';
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    text += number_text(run.time_s[i]);
    for (const ProbeTrace& probe : run.probes) {
      text += ',';
      const double degC = probe.temperature_degC[i];
      if (!std::isnan(degC)) text += reading_text(degC, probe.step_K);
    }
    text += '\n';
  }
  return text;
}

}  // namespace nestcup::sim

// A whole scenario in one call: readings at the interval, and the truth.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/bench.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// The readings of one probe.
struct ProbeTrace {
  std::string name;
  double step_K = 0.0;  ///< last digit; 0 for none
  /// One for each time of the run, before the electronics; NaN while the probe's wires are broken.
  std::vector<double> temperature_degC;
};

/// What the probes of a scenario read, and what really happened.
struct SimulatedRun {
  std::vector<double> time_s;  ///< scenario time: 0, interval, 2 intervals, ...
  std::vector<ProbeTrace> probes;
  std::vector<TrialTruth> truth;
};

/// The scenario time (s) of the reading numbered `index`: whole microseconds, so that its decimal
/// text is short.
[[nodiscard]] double reading_time_s(const Scenario& scenario, std::int64_t index);

/// Runs a scenario from 0 to its end. The same scenario and seed give the same run.
[[nodiscard]] SimulatedRun simulate(const Scenario& scenario, std::uint64_t seed);

/// A run as a trace file (CSV): time_s and one <probe>_degC column each, empty for no
/// reading.
[[nodiscard]] std::string trace_csv(const SimulatedRun& run);

}  // namespace nestcup::sim

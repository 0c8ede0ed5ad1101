// Simulated readings fed to the follower of runs.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/analysis/run/run_follower.hpp"
#include "sim/simulate.hpp"

namespace nestcup {

/// Readings of a bench: probes are numbered as their roles.
struct BenchReadings {
  std::vector<ProbeRole> roles;
  std::vector<Reading> readings;
};

/// @param begin_us  where time 0 of the simulation lies on the bench's axis
/// @param apart_us  how long after the probe before it each probe is read
[[nodiscard]] BenchReadings bench_readings(const sim::SimulatedRun& run, TimeUs begin_us = 0,
                                           TimeUs apart_us = 0);

/// Readings of a lone cup probe.
[[nodiscard]] BenchReadings cup_readings(CurveView curve, TimeUs begin_us = 0);

/// A scenario that comes with the simulator.
[[nodiscard]] sim::Scenario shipped_scenario(const std::string& name);

/// The same mixing again and again, 150 s behind the beginning of each 360 s; 135 s later the probe
/// is lifted out, and stands in the next filling after 21 s more, 204 s before the next. 100 s
/// follow the last.
/// @param sooner_s  by so much less it stands there
[[nodiscard]] sim::Scenario equal_trials(int trials, double sooner_s = 0.0);

/// What the operator does behind a reading.
using Operator = std::function<void(RunFollower&, TimeUs now_us)>;

/// All runs found, the one under way at the end too.
[[nodiscard]] std::vector<FinishedRun> followed(const BenchReadings& bench,
                                                RunFollower::Settings settings = {},
                                                const Operator& hand = {});

}  // namespace nestcup

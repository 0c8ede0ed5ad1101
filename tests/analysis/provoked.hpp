// Scenarios of the simulator in which something goes wrong, and the finding that must tell it.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "tests/analysis/followed.hpp"

namespace nestcup {

/// Between what a value of the finding must lie.
struct WantedValue {
  std::string name;
  double low = 0.0, high = 0.0;
};

/// Puts into a run's input what does not come from its trace.
using Knowledge = std::function<void(RunInput&)>;

/// A bench on which something goes wrong. The first run found on it is the one meant.
struct Provoked {
  std::string what;  ///< what goes wrong, in a few words
  std::string code;  ///< of the finding that must be there
  sim::Scenario scenario;
  std::vector<WantedValue> values{};
  std::vector<std::string> others{};  ///< findings that may be there, too: what follows from it
  Operator hand{};                    ///< the operator's part
  Knowledge known{};                  ///< what the bench knows beside the readings
};

/// All of them: every code of the catalogue at least once.
[[nodiscard]] std::vector<Provoked> provoked_findings();

/// The shipped scenario of warm water poured into cold at 100 s, with a probe in each vessel.
[[nodiscard]] sim::Scenario warm_water();

/// The same cup with something that dissolves instead, at the same time: nothing is poured from the
/// second vessel, whose water goes on cooling.
[[nodiscard]] sim::Scenario dissolving(double heat_J, double release_s);

/// The scenario with more events.
[[nodiscard]] sim::Scenario with(sim::Scenario scenario, const std::vector<sim::Event>& events);

/// The operator's mark, given at the first reading from then on.
[[nodiscard]] Operator marking(double time_s);

/// The analyses of all runs found on a bench; readings that its line loses (faults "stall" and
/// "unplug") do not come, those that it repeats ("freeze") are the last one again, and those that
/// it holds back ("delay") bear the time of their arrival.
[[nodiscard]] std::vector<RunAnalysis> analyses_of(const sim::Scenario& scenario,
                                                   std::uint64_t seed, const Operator& hand = {},
                                                   RunFollower::Settings settings = {},
                                                   const Knowledge& known = {});

/// The finding with this code; null where there is none.
[[nodiscard]] const Finding* finding_in(const RunAnalysis& run, const std::string& code);

}  // namespace nestcup

#include "daemon/bench/bench_advice.hpp"

#include <algorithm>

namespace nestcup::daemon {
namespace {

std::optional<VesselFacts> vessel_facts(Bench& bench, const std::vector<ProbeState>& states,
                                        ProbeRole role) {
  const auto& probes = bench.file().probes;
  const auto found = std::find_if(probes.begin(), probes.end(),
                                  [&](const ProbeSettings& one) { return one.role == role; });
  if (found == probes.end()) return std::nullopt;
  const ProbeState& state = states[static_cast<std::size_t>(found - probes.begin())];
  VesselFacts facts{found->name, state.stale, std::nullopt};
  if (const auto since_us = state.drift.steady_since_us) {
    facts.steady_s = to_s(bench.clock().now_us() - *since_us);
  }
  return facts;
}

}  // namespace

Advice bench_advice(Bench& bench) {
  const std::vector<ProbeState> states = bench.probes();
  const FollowedRun run = bench.run();
  AdviceFacts facts;
  facts.state = run.state;
  facts.cup = vessel_facts(bench, states, ProbeRole::cup);
  facts.added = vessel_facts(bench, states, ProbeRole::added);
  if (run.settled_us) facts.after_period_s = to_s(bench.clock().now_us() - *run.settled_us);
  facts.after_period_wanted_s = bench.file().after_period_s;
  if (const auto provisional = bench.provisional()) {
    facts.going_on_pays = provisional->going_on_pays;
  }
  if (const TrialState trials = bench.trials().state(); trials.sheet) {
    facts.has_sheet = true;
    if (trials.next) facts.next_trial = trials.sheet->trials[trials.next->trial].name;
  }
  return advice_on(facts);
}

}  // namespace nestcup::daemon

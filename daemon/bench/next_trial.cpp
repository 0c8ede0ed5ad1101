#include "daemon/bench/next_trial.hpp"

#include "core/record/trial_of_run.hpp"

namespace nestcup::daemon {

nlohmann::ordered_json next_trial_json(const TrialState& state) {
  if (!state.sheet || !state.next) return nullptr;
  auto json = trial_facts(state.sheet->trials[state.next->trial], state.next->number);
  json["chosen"] = state.chosen;
  return json;
}

}  // namespace nestcup::daemon

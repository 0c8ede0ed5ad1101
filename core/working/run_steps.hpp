// Steps of one run, by the purpose of its trial.
#pragma once

#include <optional>

#include "core/chemistry/results.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// What a run came to, and what its trial's mean needs of it.
struct RunSteps {
  StepId cup_degC = 0;
  StepId result = 0;
};

/// Writes the steps of one run behind those that are there.
/// @param constant_J_per_K  its step; nothing where the trial is to give it
[[nodiscard]] RunSteps run_steps(const RunResult& run, std::optional<StepId> constant_J_per_K,
                                 const TrialWork& work, Working& working);

}  // namespace nestcup

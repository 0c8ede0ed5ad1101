// A whole sheet worked out: the calorimeter constant, each trial, the cycle.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/chemistry/closure.hpp"
#include "core/chemistry/notes.hpp"
#include "core/chemistry/pooling.hpp"
#include "core/chemistry/run_facts.hpp"
#include "core/chemistry/trial_run.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// What one run of a trial came to.
struct RunResult {
  RunFacts facts;
  MixedRun mixed;
  Measured value;       ///< in the unit of the trial's result
  /// The same at 25 degC, for an enthalpy that can be carried there.
  std::optional<Measured> value_25{};
  double weight = 1.0;  ///< in the trial's mean; those of all runs add up to 1
};

/// A trial's repeats together. What its purpose does not give is absent.
struct TrialResult {
  std::string name;
  Purpose purpose = Purpose::reaction;
  std::vector<RunResult> runs;
  /// How well the repeats agree; of what the trial is for.
  double chi_squared = 0.0;
  double probability = 1.0;
  std::optional<double> at_degC;  ///< temperature that the result belongs to
  std::string limiting;           ///< species

  std::optional<Measured> constant_J_per_K;
  std::optional<Measured> heat_J;     ///< taken up by contents and calorimeter
  std::optional<Measured> wet_gas_J;  ///< part of it that gas carried away as vapour
  std::optional<Measured> extent_mol;
  std::optional<Measured> delta_H_kJ_per_mol;     ///< at at_degC
  std::optional<Measured> delta_H_25_kJ_per_mol;  ///< at 25 degC
  /// The enthalpy, at 25 degC where it could be carried there, beside what is accepted.
  std::optional<Comparison> accepted;
  std::optional<Measured> heat_capacity_J_per_g_K;
  std::optional<Measured> fusion_J_per_g;
  std::vector<SourceShare> budget;  ///< of what the trial is for, in its unit
};

struct Results {
  Inputs inputs;
  std::optional<Measured> constant_J_per_K;
  std::vector<SourceShare> constant_budget;
  /// Of the trials that give the constant, in their order; empty where the sheet gives it.
  std::vector<double> constant_weights;
  std::vector<TrialResult> trials;  ///< in the sheet's order
  std::optional<CycleResult> cycle;
  std::string conventions;  ///< in words: where densities and heat capacities come from
  ResultNotes notes;
};

/// Works a sheet out from its typed runs and these. The calorimeter constant is the sheet's, else
/// that of all trials for it together.
/// @param runs  finished ones; those given to no trial of the sheet are left out, with a note
[[nodiscard]] Results work_out(const Sheet& sheet, const std::vector<RunFacts>& runs);

}  // namespace nestcup

#include "core/chemistry/repeats.hpp"

#include <fmt/format.h>

#include <utility>

#include "core/chemistry/accepted_values.hpp"
#include "core/chemistry/trial_values.hpp"

namespace nestcup {

Repeats::Repeats(const TrialWork& work) : work_(work) {
  result_.name = work.trial.name;
  result_.purpose = work.trial.purpose;
}

void Repeats::add(const RunFacts& facts, const Measured& constant_J_per_K) {
  const auto run = mixed_run(facts, work_);
  if (!run) return;
  const auto value = value_of(*run, constant_J_per_K);
  if (!value) return;
  result_.runs.push_back({facts, *run, *value});
  values_.push_back(*value);
  cups_degC_.push_back(run->cup_degC);
}

TrialResult Repeats::together() {
  if (values_.empty()) return std::move(result_);
  const Pooled pooled = pool(values_, work_.trial.name, work_.inputs);
  for (std::size_t i = 0; i < result_.runs.size(); ++i) {
    result_.runs[i].weight = pooled.weights[i];
  }
  result_.chi_squared = pooled.chi_squared;
  result_.probability = pooled.probability;
  if (!pooled.consistent()) note_scatter(pooled);
  result_.at_degC = weighted_mean(cups_degC_, pooled.weights).value();
  result_.budget = budget(pooled.mean, work_.inputs);
  place(pooled);
  return std::move(result_);
}

std::optional<Measured> Repeats::value_of(const MixedRun& run, const Measured& constant_J_per_K) {
  switch (work_.trial.purpose) {
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      return constant_of_run(run, work_);
    case Purpose::heat_capacity:
      return solid_J_per_g_K(run, constant_J_per_K, work_);
    case Purpose::fusion:
      return fusion_J_per_g(run, constant_J_per_K, work_);
    case Purpose::reaction:
      break;
  }
  const auto reaction = reaction_of_run(run, constant_J_per_K, work_);
  if (!reaction) return std::nullopt;
  heats_J_.push_back(reaction->heat_J);
  wet_gas_J_.push_back(reaction->wet_gas_J);
  extents_mol_.push_back(reaction->extent_mol);
  result_.limiting = reaction->limiting;
  return reaction->delta_H_kJ_per_mol;
}

void Repeats::note_scatter(const Pooled& pooled) {
  work_.notes.add(
      {"repeats-apart",
       Severity::warning,
       work_.trial.name,
       fmt::format("The repeats of {} differ by more than their uncertainties allow (chance gives "
                   "as much in {:.1f} % of cases): the scatter counts. Look for what was not the "
                   "same.",
                   work_.trial.name, 100.0 * pooled.probability),
       {{"percent", fmt::format("{:.1f}", 100.0 * pooled.probability)}}});
}

void Repeats::place(const Pooled& pooled) {
  switch (work_.trial.purpose) {
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      result_.constant_J_per_K = pooled.mean;
      return;
    case Purpose::heat_capacity:
      result_.heat_capacity_J_per_g_K = pooled.mean;
      return;
    case Purpose::fusion:
      result_.fusion_J_per_g = pooled.mean;
      return;
    case Purpose::reaction:
      place_reaction(pooled);
  }
}

void Repeats::place_reaction(const Pooled& pooled) {
  result_.delta_H_kJ_per_mol = pooled.mean;
  result_.heat_J = weighted_mean(heats_J_, pooled.weights);
  result_.extent_mol = weighted_mean(extents_mol_, pooled.weights);
  const Measured wet_gas_J = weighted_mean(wet_gas_J_, pooled.weights);
  if (wet_gas_J.value() > 0.0) result_.wet_gas_J = wet_gas_J;
  if (const auto delta_Cp = delta_Cp_J_per_mol_K(*work_.trial.equation, work_.inputs)) {
    const Measured at_degC = weighted_mean(cups_degC_, pooled.weights);
    result_.delta_H_25_kJ_per_mol = pooled.mean + 0.001 * *delta_Cp * (25.0 - at_degC);
    for (std::size_t run = 0; run < values_.size(); ++run) {
      result_.runs[run].value_25 = values_[run] + 0.001 * *delta_Cp * (25.0 - cups_degC_[run]);
    }
  }
  const auto accepted =
      accepted_near(*work_.trial.equation, work_.sheet.cycle ? work_.sheet.cycle->base : "",
                    strongest_mol_per_L(work_.trial, work_.sheet), work_.inputs);
  if (!accepted) return;
  result_.accepted = compare(result_.delta_H_25_kJ_per_mol.value_or(pooled.mean),
                             accepted->kJ_per_mol, accepted->source);
}

}  // namespace nestcup

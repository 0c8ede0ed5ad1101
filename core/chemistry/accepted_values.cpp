#include "core/chemistry/accepted_values.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

namespace nestcup {

Result<AcceptedMeasured> accepted_measured(const Equation& equation, const std::string& base,
                                           Inputs& inputs) {
  const auto wanted = base.empty() ? std::nullopt : std::optional<std::string_view>(base);
  const auto found = accepted_enthalpy(equation, wanted);
  if (!found) return found.error();
  AcceptedMeasured accepted;
  accepted.source = found->base + (found->infinite_dilution ? ", at infinite dilution" : "");
  accepted.without_u = !found->value.u_kJ_per_mol;
  for (const AcceptedPart& part : found->parts) {
    const InputId input = inputs.shared(part.name, {part.name, ErrorSource::accepted, {}});
    accepted.kJ_per_mol +=
        to_double(part.amount) *
        Measured::of(part.value.kJ_per_mol, input, part.value.u_kJ_per_mol.value_or(0.0));
  }
  return accepted;
}

Result<AcceptedMeasured> accepted_near(const Equation& equation, const std::string& base,
                                       std::optional<double> mol_per_L, Inputs& inputs) {
  const auto found = accepted_enthalpy(equation);
  const AcceptedReaction* nearest = nullptr;
  double least = std::log(1.5);
  if (found && mol_per_L) {
    for (const AcceptedReaction& reaction : found->reactions) {
      if (!reaction.molality_mol_per_kg || reaction.at_degC != 25.0) continue;
      const double apart = std::abs(std::log(*reaction.molality_mol_per_kg / *mol_per_L));
      if (apart > least) continue;
      least = apart;
      nearest = &reaction;
    }
  }
  if (nearest == nullptr) return accepted_measured(equation, base, inputs);
  AcceptedMeasured accepted;
  accepted.source = nearest->conditions;
  accepted.without_u = !nearest->value.u_kJ_per_mol;
  const std::string name = nearest->equation + ", " + nearest->conditions;
  const InputId input = inputs.shared(name, {name, ErrorSource::accepted, {}});
  accepted.kJ_per_mol =
      Measured::of(nearest->value.kJ_per_mol, input, nearest->value.u_kJ_per_mol.value_or(0.0));
  return accepted;
}

std::optional<double> strongest_mol_per_L(const SheetTrial& trial, const Sheet& sheet) {
  std::optional<double> strongest;
  for (const auto* contents : {&trial.cup, &trial.added}) {
    if (!*contents || !(*contents)->stock) continue;
    const auto strength = sheet.stocks[*(*contents)->stock].concentration_mol_per_L;
    if (strength && *strength > strongest.value_or(0.0)) strongest = strength;
  }
  return strongest;
}

std::string accepted_elsewhere(const Equation& equation) {
  const auto found = accepted_enthalpy(equation);
  if (!found) return "";
  std::vector<std::string> values;
  for (const AcceptedReaction& reaction : found->reactions) {
    if (!reaction.molality_mol_per_kg || reaction.at_degC != 25.0) continue;
    values.push_back(fmt::format("{} ({})", reaction.value.kJ_per_mol, reaction.conditions));
  }
  return fmt::format("{}", fmt::join(values, "; "));
}

std::optional<Measured> delta_Cp_J_per_mol_K(const Equation& equation, Inputs& inputs) {
  const auto found = accepted_enthalpy(equation);
  if (!found || !found->delta_Cp_J_per_mol_K) return std::nullopt;
  const double value = *found->delta_Cp_J_per_mol_K;
  const std::string name = "change of heat capacity of " + equation.text;
  const InputId input = inputs.shared(name, {name, ErrorSource::heat_capacity, {}});
  return Measured::of(value, input, std::max(10.0, 0.1 * std::abs(value)));
}

std::optional<Measured> reference_enthalpy(const TrialWork& work, const Measured& degC) {
  const Equation& equation = *work.trial.equation;
  if (work.trial.reference_kJ_per_mol) {
    const std::string name = "reference enthalpy of " + work.trial.name;
    const InputId input = work.inputs.of_trial(name, {name, ErrorSource::accepted, {}});
    return Measured::of(*work.trial.reference_kJ_per_mol, input,
                        work.trial.u_reference_kJ_per_mol.value_or(0.0));
  }
  const auto accepted = accepted_measured(equation, "", work.inputs);
  if (!accepted) {
    work.notes.add({"reference-unknown",
                    Severity::unusable,
                    work.trial.name,
                    accepted.error().text + "; give the trial its reference_kJ_per_mol",
                    {{"why", accepted.error().text}}});
    return std::nullopt;
  }
  work.notes.add({"reference-from-table",
                  Severity::note,
                  work.trial.name,
                  fmt::format("The reference enthalpy is {:.2f} kJ/mol ({}); a "
                              "value for the concentration at hand goes into reference_kJ_per_mol.",
                              accepted->kJ_per_mol.value(), accepted->source),
                  {{"value", fmt::format("{:.2f}", accepted->kJ_per_mol.value())},
                   {"source", accepted->source}}});
  const auto delta_Cp = delta_Cp_J_per_mol_K(equation, work.inputs);
  if (!delta_Cp) return accepted->kJ_per_mol;
  return accepted->kJ_per_mol + 0.001 * *delta_Cp * (degC - 25.0);
}

}  // namespace nestcup

#include "core/chemistry/expected_outcome.hpp"

#include <fmt/format.h>

#include <sstream>

#include "core/chemistry/accepted_values.hpp"
#include "core/matter/elements.hpp"
#include "core/matter/substances.hpp"
#include "core/matter/water.hpp"

namespace nestcup {

namespace {

Measured of_its_own(const Uncertain& quantity, const std::string& name, ErrorSource source,
                    Inputs& inputs) {
  return Measured::of(quantity.value, inputs.add({name, source, quantity.dof}), quantity.u);
}

const Uncertain* told(const std::map<std::string, Uncertain>& values, const std::string& trial) {
  const auto found = values.find(trial);
  return found == values.end() ? nullptr : &found->second;
}

/// Carried from 25 degC to the cup's temperature, where the table has all heat capacities.
Measured carried(const Measured& at_25, const TrialWork& work, const Measured& cup_degC) {
  const auto delta_Cp = delta_Cp_J_per_mol_K(*work.trial.equation, work.inputs);
  return delta_Cp ? at_25 + 0.001 * *delta_Cp * (cup_degC - 25.0) : at_25;
}

Result<ExpectedValue> expected_enthalpy(const TrialWork& work, const Assumptions& assumptions,
                                        const Measured& cup_degC) {
  const std::string& name = work.trial.name;
  if (const Uncertain* const given = told(assumptions.enthalpy_kJ_per_mol, name)) {
    const Measured at_25 =
        of_its_own(*given, "enthalpy of " + name, ErrorSource::accepted, work.inputs);
    return ExpectedValue{carried(at_25, work, cup_degC), "as told"};
  }
  const auto accepted =
      accepted_near(*work.trial.equation, work.sheet.cycle ? work.sheet.cycle->base : "",
                    strongest_mol_per_L(work.trial, work.sheet), work.inputs);
  if (!accepted) {
    return Error{Fault::no_input,
                 fmt::format("no enthalpy is accepted for it ({}); give one: --enthalpy "
                             "{}=KJ_PER_MOL",
                             accepted.error().text, name)};
  }
  Measured at_25 = accepted->kJ_per_mol;
  if (accepted->without_u) {
    const InputId input =
        work.inputs.add({"unstated, accepted for " + name, ErrorSource::accepted, {}});
    at_25 += Measured::of(0.0, input, unstated_relative_u * std::abs(at_25.value()));
  }
  return ExpectedValue{carried(at_25, work, cup_degC), accepted->source};
}

/// The solid of a content: its formula, or a word of its name that is one's ("aluminium block").
std::optional<Formula> named_solid(const Contents& contents) {
  if (contents.substance) return contents.substance;
  std::istringstream words(contents.substance_text);
  for (std::string word; words >> word;) {
    auto found = substance(word);
    if (found && found->phase == Phase::solid) return std::move(found).value();
  }
  return std::nullopt;
}

Result<ExpectedValue> expected_heat_capacity(const TrialWork& work,
                                             const Assumptions& assumptions) {
  const std::string& name = work.trial.name;
  if (const Uncertain* const given = told(assumptions.heat_capacity_J_per_g_K, name)) {
    return ExpectedValue{
        of_its_own(*given, "heat capacity in " + name, ErrorSource::heat_capacity, work.inputs),
        "as told"};
  }
  const auto solid = named_solid(*work.trial.added);
  const auto capacity = solid ? solid_heat_capacity(*solid) : SolidHeatCapacity{0, 0, true};
  if (capacity.estimated) {
    return Error{Fault::no_input, fmt::format("no heat capacity is tabulated for \"{}\"; give one: "
                                              "--heat-capacity {}=J_PER_G_K",
                                              work.trial.added->substance_text, name)};
  }
  const double J_per_g_K = capacity.J_per_mol_K / molar_mass_g_per_mol(*solid).value;
  return ExpectedValue{
      of_its_own({J_per_g_K, capacity.relative_u * J_per_g_K, {}}, "heat capacity in " + name,
                 ErrorSource::heat_capacity, work.inputs),
      fmt::format("table, {}", solid->text)};
}

}  // namespace

ExpectedValue expected_constant(const Sheet& sheet, const Assumptions& assumptions,
                                Inputs& inputs) {
  const auto as = [&](const Uncertain& value, const char* source) {
    return ExpectedValue{
        of_its_own(value, "calorimeter constant", ErrorSource::calorimeter_constant, inputs),
        source};
  };
  if (assumptions.constant_J_per_K) return as(*assumptions.constant_J_per_K, "as told");
  const Calorimeter& calorimeter = sheet.calorimeter;
  if (calorimeter.constant_J_per_K) {
    return as({*calorimeter.constant_J_per_K, calorimeter.u_constant_J_per_K.value_or(0.0), {}},
              "the sheet");
  }
  return as(usual_constant_J_per_K, "usual for two foam cups");
}

Result<ExpectedValue> expected_outcome(const TrialWork& work, const Assumptions& assumptions,
                                       const Measured& constant_J_per_K, const Measured& cup_degC) {
  switch (work.trial.purpose) {
    case Purpose::heat_capacity:
      return expected_heat_capacity(work, assumptions);
    case Purpose::fusion:
      return ExpectedValue{
          of_its_own({ice_fusion_J_per_g, ice_fusion_relative_u * ice_fusion_J_per_g, {}},
                     "fusion of ice", ErrorSource::accepted, work.inputs),
          "IAPWS"};
    case Purpose::reaction:
      return expected_enthalpy(work, assumptions, cup_degC);
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  return ExpectedValue{constant_J_per_K, ""};
}

Uncertain expected_cup_degC(const SheetTrial& trial, const Assumptions& assumptions) {
  if (!trial.cup || !trial.cup->temperature_degC) return assumptions.cup_degC;
  return {*trial.cup->temperature_degC, trial.cup->u_temperature_K.value_or(0.0), {}};
}

Uncertain expected_added_degC(const SheetTrial& trial, const Assumptions& assumptions,
                              const Uncertain& cup_degC, std::string& source) {
  source = "as told";
  if (const Uncertain* const given = told(assumptions.added_degC, trial.name)) return *given;
  const Contents& added = *trial.added;
  source = "the sheet";
  if (added.temperature_degC) {
    return {*added.temperature_degC, added.u_temperature_K.value_or(0.0), {}};
  }
  source = "usual";
  if (added.substance && added.substance->text == "H2O(s)") return {0.0, 0.0, {}};
  if (trial.purpose == Purpose::heat_capacity) return usual_boiling_degC;
  if (trial.purpose == Purpose::calorimeter_constant && !trial.equation) return usual_warm_degC;
  source = "as the cup";
  return {cup_degC.value, 1.0, {}};
}

}  // namespace nestcup

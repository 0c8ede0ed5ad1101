#include "core/classroom/quantity_values.hpp"
#include "core/chemistry/main_value.hpp"

#include <algorithm>

namespace nestcup {

namespace {

bool gives_constant(Purpose purpose) {
  return purpose == Purpose::calorimeter_constant || purpose == Purpose::electrical_calibration;
}

/// A constant beside its trials: only where several give it.
bool is_of_several_trials(const Sheet& sheet, const Results& results) {
  if (sheet.calorimeter.constant_J_per_K) return false;
  return std::count_if(results.trials.begin(), results.trials.end(), [](const TrialResult& trial) {
           return gives_constant(trial.purpose) && trial.constant_J_per_K;
         }) > 1;
}

QuantityName name_of(const TrialResult& trial, const Sheet& sheet) {
  QuantityName name{QuantityKind::trial, trial.name, "", "", "", ""};
  const SheetTrial* const wanted = sheet.find(trial.name);
  if (wanted != nullptr && wanted->equation) name.equation = wanted->equation->text;
  switch (trial.purpose) {
    case Purpose::heat_capacity:
      name.what = "heat capacity";
      name.unit = "J/(g K)";
      name.key = "heat_capacity_J_per_g_K";
      return name;
    case Purpose::fusion:
      name.what = "enthalpy of fusion";
      name.unit = "J/g";
      name.key = "fusion_J_per_g";
      return name;
    case Purpose::reaction:
      name.what =
          trial.delta_H_25_kJ_per_mol ? "enthalpy at 25 degC" : "enthalpy at the cup's temperature";
      name.unit = "kJ/mol";
      name.key = trial.delta_H_25_kJ_per_mol ? "delta_H_25_kJ_per_mol" : "delta_H_kJ_per_mol";
      return name;
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  name.what = "calorimeter constant";
  name.unit = "J/K";
  name.key = "calorimeter_constant_J_per_K";
  return name;
}

}  // namespace

std::vector<FoundValue> found_values(const Sheet& sheet, const Results& results) {
  std::vector<FoundValue> found;
  if (results.constant_J_per_K && is_of_several_trials(sheet, results)) {
    found.push_back({{QuantityKind::constant, "", "", "calorimeter constant", "J/K",
                      "calorimeter_constant_J_per_K"},
                     *results.constant_J_per_K,
                     {},
                     {}});
  }
  for (const TrialResult& trial : results.trials) {
    const auto value = main_value(trial);
    if (!value) continue;
    FoundValue one{name_of(trial, sheet), *value, {}, trial.accepted};
    for (const RunResult& run : trial.runs) {
      one.runs.emplace_back(run.facts.id, run.value_25.value_or(run.value).value());
    }
    found.push_back(std::move(one));
  }
  if (results.cycle && results.cycle->delta_H_kJ_per_mol) {
    found.push_back({{QuantityKind::cycle, "", results.cycle->target, "enthalpy of the cycle",
                      "kJ/mol", "delta_H_kJ_per_mol"},
                     *results.cycle->delta_H_kJ_per_mol,
                     {},
                     results.cycle->accepted});
  }
  return found;
}

}  // namespace nestcup

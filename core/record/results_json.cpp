#include "core/record/results_json.hpp"

namespace nestcup {

namespace {

Json quantity(const Measured& measured, const Inputs& inputs) {
  const Uncertain known = uncertain(measured, inputs);
  Json json{{"value", known.value}, {"u", known.u}};
  if (known.dof) json["dof"] = *known.dof;
  return json;
}

Json quantity(const std::optional<Measured>& measured, const Inputs& inputs) {
  return measured ? quantity(*measured, inputs) : Json(nullptr);
}

Json budget_json(const std::vector<SourceShare>& lines) {
  Json json = Json::array();
  for (const SourceShare& line : lines) {
    json.push_back({{"source", error_source_name(line.source)}, {"u", line.u}});
  }
  return json;
}

Json runs_json(const TrialResult& trial, const Inputs& inputs) {
  Json json = Json::array();
  for (const RunResult& run : trial.runs) {
    Json one = quantity(run.value, inputs);
    one["id"] = run.facts.id;
    json.push_back(std::move(one));
  }
  return json;
}

Json comparison_json(const Comparison& comparison, const Inputs& inputs) {
  Json json = quantity(comparison.kJ_per_mol, inputs);
  json["source"] = comparison.source;
  json["difference_kJ_per_mol"] = quantity(comparison.difference_kJ_per_mol, inputs);
  json["difference_percent"] = comparison.percent ? Json(*comparison.percent) : Json(nullptr);
  json["E_n"] = comparison.E_n ? Json(*comparison.E_n) : Json(nullptr);
  return json;
}

void add_reaction(Json& json, const TrialResult& trial, const Inputs& inputs) {
  json["heat_J"] = quantity(trial.heat_J, inputs);
  json["wet_gas_J"] = quantity(trial.wet_gas_J, inputs);
  json["extent_mol"] = quantity(trial.extent_mol, inputs);
  json["limiting"] = trial.limiting.empty() ? Json(nullptr) : Json(trial.limiting);
  json["delta_H_kJ_per_mol"] = quantity(trial.delta_H_kJ_per_mol, inputs);
  json["delta_H_25_kJ_per_mol"] = quantity(trial.delta_H_25_kJ_per_mol, inputs);
  json["accepted_kJ_per_mol"] =
      trial.accepted ? comparison_json(*trial.accepted, inputs) : Json(nullptr);
}

Json trial_json(const TrialResult& trial, const Inputs& inputs) {
  Json json{{"name", trial.name},
            {"purpose", purpose_text(trial.purpose)},
            {"runs", trial.runs.size()},
            {"at_degC", trial.at_degC ? Json(*trial.at_degC) : Json(nullptr)}};
  switch (trial.purpose) {
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      json["calorimeter_constant_J_per_K"] = quantity(trial.constant_J_per_K, inputs);
      break;
    case Purpose::heat_capacity:
      json["heat_capacity_J_per_g_K"] = quantity(trial.heat_capacity_J_per_g_K, inputs);
      break;
    case Purpose::fusion:
      json["fusion_J_per_g"] = quantity(trial.fusion_J_per_g, inputs);
      break;
    case Purpose::reaction:
      add_reaction(json, trial, inputs);
      break;
  }
  json["budget"] = budget_json(trial.budget);
  json["repeats"] = runs_json(trial, inputs);
  if (trial.runs.size() > 1) {
    json["consistency"] = {{"chi_squared", trial.chi_squared}, {"probability", trial.probability}};
  }
  return json;
}

Json cycle_json(const CycleResult& cycle, const Inputs& inputs) {
  Json json{{"target", cycle.target}, {"terms", Json::array()}};
  for (const CycleTerm& term : cycle.terms) {
    json["terms"].push_back({{"name", term.name},
                             {"multiplier", rational_text(term.multiplier)},
                             {"delta_H_kJ_per_mol", quantity(term.kJ_per_mol, inputs)},
                             {"source", term.measured ? Json("measured") : Json(term.source)}});
  }
  json["delta_H_kJ_per_mol"] = quantity(cycle.delta_H_kJ_per_mol, inputs);
  json["at_25_degC"] = cycle.at_25_degC;
  json["budget"] = budget_json(cycle.budget);
  json["accepted_kJ_per_mol"] =
      cycle.accepted ? comparison_json(*cycle.accepted, inputs) : Json(nullptr);
  json["E_n"] = cycle.accepted && cycle.accepted->E_n ? Json(*cycle.accepted->E_n) : Json(nullptr);
  json["direct_kJ_per_mol"] = cycle.direct ? comparison_json(*cycle.direct, inputs) : Json(nullptr);
  return json;
}

}  // namespace

Json results_json(const Results& results) {
  const Inputs& inputs = results.inputs;
  Json json{{"calorimeter_constant_J_per_K", quantity(results.constant_J_per_K, inputs)},
            {"calorimeter_constant_budget", budget_json(results.constant_budget)},
            {"conventions", results.conventions},
            {"trials", Json::array()}};
  for (const TrialResult& trial : results.trials)
    json["trials"].push_back(trial_json(trial, inputs));
  json["cycle"] = results.cycle ? cycle_json(*results.cycle, inputs) : Json(nullptr);
  json["findings"] = Json::array();
  for (const ResultNote& note : results.notes.all()) {
    json["findings"].push_back({{"code", note.code},
                                {"severity", severity_name(note.severity)},
                                {"trial", note.trial.empty() ? Json(nullptr) : Json(note.trial)},
                                {"text", note.text}});
  }
  return json;
}

}  // namespace nestcup

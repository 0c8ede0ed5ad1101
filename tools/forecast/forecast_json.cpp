#include <cmath>

#include "core/record/quantity_json.hpp"
#include "tools/forecast/forecast_page.hpp"

namespace nestcup::forecast {
namespace {

using Json = nlohmann::ordered_json;

Json quantity(const Measured& measured, const Inputs& inputs) {
  return quantity_json(uncertain(measured, inputs));
}

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

const char* result_key(Purpose purpose) {
  switch (purpose) {
    case Purpose::heat_capacity:
      return "heat_capacity_J_per_g_K";
    case Purpose::fusion:
      return "fusion_J_per_g";
    case Purpose::reaction:
      return "delta_H_kJ_per_mol";
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  return "calorimeter_constant_J_per_K";
}

Json bench_json(const BenchPlan& bench, const std::string& path) {
  return {{"file", path.empty() ? Json(nullptr) : Json(path)},
          {"interval_s", bench.interval_s},
          {"after_period_s", bench.after_period_s},
          {"noise_K", bench.noise_K},
          {"step_K", bench.step_K},
          {"cup_tolerance_K", bench.cup_tolerance_K},
          {"added_tolerance_K", bench.has_added ? Json(bench.added_tolerance_K) : Json(nullptr)},
          {"least_lag_s", bench.least_lag_s},
          {"most_lag_s", bench.most_lag_s}};
}

Json reactants_json(const ExpectedTrial& expected, const Inputs& inputs) {
  Json json = Json::array();
  for (const Reach& reach : expected.reaches) {
    json.push_back({{"species", reach.species},
                    {"allows_extent_mol", quantity(reach.mol, inputs)},
                    {"times_enough", reach.mol.value() / expected.reaches.front().mol.value()}});
  }
  return json;
}

Json gains_json(const std::vector<Gain>& gains) {
  Json json = Json::array();
  for (const Gain& gain : gains) {
    json.push_back({{"change", gain.lever->change}, {"u_result", gain.u}});
  }
  return json;
}

Json budget_json(const std::vector<SourceShare>& lines) {
  Json json = Json::array();
  for (const SourceShare& line : lines) {
    json.push_back({{"source", error_source_name(line.source)}, {"u", line.u}});
  }
  return json;
}

void add_expected(const ExpectedTrial& expected, const SheetTrial& trial, const Inputs& inputs,
                  Json& json) {
  json["cup_degC"] = quantity(expected.cup_degC, inputs);
  json["added_degC"] = expected.added_degC ? quantity(*expected.added_degC, inputs) : Json(nullptr);
  json["final_degC"] = quantity(expected.final_degC, inputs);
  json["corrected_rise_K"] = quantity(expected.rise_K, inputs);
  json["expected"] = {{result_key(trial.purpose), quantity(expected.outcome.value, inputs)},
                      {"source", expected.outcome.source}};
  json["limiting"] =
      expected.reaches.empty() ? Json(nullptr) : Json(expected.reaches.front().species);
  json["limiting_unclear_with"] = or_null(expected.rival);
  json["reactants"] = reactants_json(expected, inputs);
  json["gas_mol"] =
      expected.gas_mol.value() > 0.0 ? quantity(expected.gas_mol, inputs) : Json(nullptr);
}

void add_knowledge(const TrialForecast& forecast, const SheetTrial& trial, const Inputs& inputs,
                   Json& json) {
  json["u_rise_K"] = forecast.result ? Json(forecast.u_rise_K) : Json(nullptr);
  json["u_readings_K"] = forecast.result ? Json(forecast.u_readings_K) : Json(nullptr);
  json["u_rise_stated_K"] = forecast.result ? Json(forecast.u_rise_stated_K) : Json(nullptr);
  json["result"] = nullptr;
  if (forecast.result) {
    json["result"] = {{result_key(trial.purpose), quantity(*forecast.result, inputs)}};
  }
  json["budget"] = budget_json(forecast.budget);
  json["u_result_stated"] = or_null(forecast.u_result_stated);
  json["u_mostly_from"] = forecast.mostly.empty() ? Json(nullptr) : Json(forecast.mostly);
  json["after_periods"] = Json::array();
  for (const AfterPeriod& after : forecast.after) {
    json["after_periods"].push_back({{"after_period_s", after.after_s},
                                     {"u_rise_K", after.u_rise_K},
                                     {"u_readings_K", after.u_readings_K},
                                     {"u_result", after.u_result}});
  }
  json["enough_after_period_s"] = or_null(forecast.enough_after_s);
  json["would_pay"] = gains_json(forecast.gains);
}

Json trial_json(const Forecast& forecast, std::size_t i) {
  const SheetTrial& trial = forecast.plan.sheet.trials[i];
  const Expectation& expected = forecast.rises.trials[i];
  Json json{{"name", trial.name},
            {"purpose", purpose_text(trial.purpose)},
            {"runs", trial.repeats.value_or(1)},
            {"not_known", expected ? Json(nullptr) : Json(expected.error().text)}};
  if (expected) add_expected(*expected, trial, forecast.rises.inputs, json);
  if (!expected) json["corrected_rise_K"] = nullptr;
  add_knowledge(forecast.trials[i], trial, forecast.results.inputs, json);
  return json;
}

Json cycle_json(const Forecast& forecast) {
  const CycleForecast& cycle = forecast.cycle;
  if (!cycle.result) return nullptr;
  const Inputs& inputs = forecast.results.inputs;
  return {{"target", forecast.plan.sheet.cycle->target.text},
          {"delta_H_kJ_per_mol", quantity(*cycle.result, inputs)},
          {"u_result_stated", or_null(cycle.u_stated)},
          {"u_mostly_from", cycle.mostly},
          {"budget", budget_json(cycle.budget)},
          {"would_pay", gains_json(cycle.gains)}};
}

}  // namespace

Json forecast_json(const Forecast& forecast, const Request& request) {
  const Sheet& sheet = forecast.plan.sheet;
  Json json{{"format", "nestcup-forecast"},
            {"version", 1},
            {"sheet", {{"title", sheet.title}, {"sha256", sheet.sha256}}},
            {"bench", bench_json(forecast.plan.bench, request.bench)},
            {"calorimeter_constant_J_per_K",
             quantity(forecast.rises.constant_J_per_K.value, forecast.rises.inputs)},
            {"trials", Json::array()}};
  for (std::size_t i = 0; i < sheet.trials.size(); ++i) {
    if (!request.only || *request.only == i) json["trials"].push_back(trial_json(forecast, i));
  }
  json["cycle"] = request.only ? Json(nullptr) : cycle_json(forecast);
  json["findings"] = Json::array();
  for (const ResultNote& note : forecast.notes.all()) {
    json["findings"].push_back({{"code", note.code},
                                {"severity", severity_name(note.severity)},
                                {"trial", note.trial},
                                {"text", note.text}});
  }
  json["cautions"] = cautions_of(forecast);
  json["assumed"] = assumed(forecast, request);
  return json;
}

}  // namespace nestcup::forecast

#include "core/report/words/cautions.hpp"
#include "tools/sheet/extent.hpp"
#include "tools/sheet/sheet_page.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

Json number(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json instrument_json(const Instrument& instrument) {
  return {{"name", instrument.name},
          {"u_volume_mL", number(instrument.u_volume_mL)},
          {"u_mass_g", number(instrument.u_mass_g)},
          {"calibrated", calibrated_text(instrument.calibrated)}};
}

Json stock_json(const Stock& stock) {
  return {{"name", stock.name},
          {"substance", stock.substance.text},
          {"concentration_mol_per_L", number(stock.concentration_mol_per_L)},
          {"u_concentration_mol_per_L", number(stock.u_concentration_mol_per_L)},
          {"mass_fraction", number(stock.mass_fraction)},
          {"u_mass_fraction", number(stock.u_mass_fraction)}};
}

Json contents_json(const Sheet& sheet, const std::optional<Contents>& contents) {
  if (!contents) return nullptr;
  Json json{{"substance", contents->substance_text},
            {"formula", contents->substance ? Json(contents->substance->text) : Json(nullptr)},
            {"stock", nullptr},
            {"volume_mL", number(contents->volume_mL)},
            {"u_volume_mL", number(contents->u_volume_mL)},
            {"mass_g", number(contents->mass_g)},
            {"u_mass_g", number(contents->u_mass_g)},
            {"by", nullptr},
            {"temperature_degC", number(contents->temperature_degC)},
            {"u_temperature_K", number(contents->u_temperature_K)},
            {"read_at_degC", number(contents->read_at_degC)},
            {"left_behind_mL", number(contents->left_behind_mL)},
            {"u_left_behind_mL", number(contents->u_left_behind_mL)},
            {"left_behind_g", number(contents->left_behind_g)},
            {"u_left_behind_g", number(contents->u_left_behind_g)}};
  if (contents->stock) {
    json["substance"] = nullptr;
    json["stock"] = sheet.stocks[*contents->stock].name;
  }
  if (contents->instrument) json["by"] = sheet.instruments[*contents->instrument].name;
  return json;
}

Json heater_json(const std::optional<Heater>& heater) {
  if (!heater) return nullptr;
  return {{"voltage_V", heater->voltage_V}, {"u_voltage_V", number(heater->u_voltage_V)},
          {"current_A", heater->current_A}, {"u_current_A", number(heater->u_current_A)},
          {"time_s", heater->time_s},       {"u_time_s", number(heater->u_time_s)}};
}

Json typed_json(const std::vector<TypedTrial>& all) {
  Json list = Json::array();
  for (const TypedTrial& typed : all) {
    Json readings = Json::array();
    for (const TypedReading& reading : typed.readings) {
      readings.push_back({{"after_mixing_s", reading.after_mixing_s}, {"cup_degC", reading.degC}});
    }
    list.push_back({{"cup_degC", typed.cup_degC},
                    {"added_degC", number(typed.added_degC)},
                    {"final_degC", number(typed.final_degC)},
                    {"u_degC", number(typed.u_degC)},
                    {"readings", std::move(readings)}});
  }
  return list;
}

Json trial_json(const Sheet& sheet, const SheetTrial& trial) {
  const auto extent = planned_extent(sheet, trial);
  return {{"name", trial.name},
          {"purpose", purpose_text(trial.purpose)},
          {"equation", trial.equation ? Json(trial.equation->text) : Json(nullptr)},
          {"repeats", trial.repeats.value_or(1)},
          {"cup", contents_json(sheet, trial.cup)},
          {"added", contents_json(sheet, trial.added)},
          {"limiting", extent ? Json(extent->limiting) : Json(nullptr)},
          {"extent_mol", extent ? Json(extent->mol) : Json(nullptr)},
          {"reference_kJ_per_mol", number(trial.reference_kJ_per_mol)},
          {"u_reference_kJ_per_mol", number(trial.u_reference_kJ_per_mol)},
          {"heater", heater_json(trial.heater)},
          {"typed", typed_json(trial.typed)}};
}

Json cycle_json(const Sheet& sheet) {
  if (!sheet.cycle) return nullptr;
  const Cycle& cycle = *sheet.cycle;
  Json from = Json::array(), accepted = Json::array();
  for (const std::size_t index : cycle.from) from.push_back(sheet.trials[index].name);
  for (const Equation& equation : cycle.accepted) accepted.push_back(equation.text);
  return {{"target", cycle.target.text},
          {"from", std::move(from)},
          {"accepted", std::move(accepted)},
          {"accepted_kJ_per_mol", number(cycle.accepted_kJ_per_mol)},
          {"u_accepted_kJ_per_mol", number(cycle.u_accepted_kJ_per_mol)},
          {"base", cycle.base.empty() ? Json(nullptr) : Json(cycle.base)}};
}

Json conventions_json(const std::optional<Conventions>& conventions) {
  if (!conventions) return nullptr;
  return {{"density_g_per_mL", number(conventions->density_g_per_mL)},
          {"heat_capacity_J_per_g_K", number(conventions->heat_capacity_J_per_g_K)}};
}

Json calorimeter_json(const Calorimeter& calorimeter) {
  return {{"kind", calorimeter.kind},
          {"constant_J_per_K", number(calorimeter.constant_J_per_K)},
          {"u_constant_J_per_K", number(calorimeter.u_constant_J_per_K)},
          {"volume_mL", number(calorimeter.volume_mL)}};
}

}  // namespace

nlohmann::ordered_json sheet_json(const Sheet& sheet) {
  Json json{{"title", sheet.title},
            {"path", sheet.path},
            {"sha256", sheet.sha256},
            {"calorimeter", calorimeter_json(sheet.calorimeter)},
            {"conventions", conventions_json(sheet.conventions)},
            {"instruments", Json::array()},
            {"stocks", Json::array()},
            {"trials", Json::array()},
            {"cycle", cycle_json(sheet)},
            {"cautions", cautions(sheet, Texts(Language::english))}};
  for (const auto& instrument : sheet.instruments) {
    json["instruments"].push_back(instrument_json(instrument));
  }
  for (const Stock& stock : sheet.stocks) json["stocks"].push_back(stock_json(stock));
  for (const auto& trial : sheet.trials) json["trials"].push_back(trial_json(sheet, trial));
  return json;
}

}  // namespace nestcup

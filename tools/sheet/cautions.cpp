#include "tools/sheet/cautions.hpp"

#include <algorithm>
#include <array>
#include <functional>
#include <string_view>

namespace nestcup {
namespace {

constexpr double scalds_degC = 45.0;

/// Whether any of these formulas, whatever their phase, is a stock, a content or a product.
bool has_any(const Sheet& sheet, const std::vector<std::string_view>& formulas) {
  const auto listed = [&](const Formula& formula) {
    const std::string bare = in_phase(formula, std::nullopt).text;
    return std::find(formulas.begin(), formulas.end(), bare) != formulas.end();
  };
  const auto held = [&](const std::optional<Contents>& contents) {
    return contents && contents->substance && listed(*contents->substance);
  };
  const auto used = [&](const SheetTrial& trial) { return held(trial.cup) || held(trial.added); };
  return std::any_of(sheet.stocks.begin(), sheet.stocks.end(),
                     [&](const Stock& stock) { return listed(stock.substance); }) ||
         std::any_of(sheet.trials.begin(), sheet.trials.end(), used);
}

/// Whether a trial's equation makes this species.
bool makes(const Sheet& sheet, std::string_view species) {
  return std::any_of(sheet.trials.begin(), sheet.trials.end(), [&](const SheetTrial& trial) {
    return trial.equation &&
           std::any_of(trial.equation->right.begin(), trial.equation->right.end(),
                       [&](const Term& term) { return term.species.text == species; });
  });
}

bool is_hot(const SheetTrial& trial) {
  const auto hot = [](const std::optional<double>& degC) { return degC && *degC >= scalds_degC; };
  return trial.purpose == Purpose::heat_capacity ||
         trial.purpose == Purpose::calorimeter_constant ||
         (trial.cup && hot(trial.cup->temperature_degC)) ||
         (trial.added && hot(trial.added->temperature_degC));
}

}  // namespace

std::vector<std::string> cautions(const Sheet& sheet) {
  std::vector<std::string> all;
  if (has_any(sheet, {"HCl", "HBr", "HI", "HNO3", "HClO4", "H2SO4", "H3PO4", "CH3COOH", "HCOOH"})) {
    all.push_back(
        "Acids corrode: wear eye protection, and put acid into water, never the other "
        "way.");
  }
  if (has_any(sheet, {"NaOH", "KOH", "LiOH", "Ba(OH)2", "Ca(OH)2", "NH3"})) {
    all.push_back("Bases harm eyes more than acids do: wear eye protection and gloves.");
  }
  if (has_any(sheet, {"H2O2"})) {
    all.push_back("Hydrogen peroxide bleaches and gives off oxygen: gloves, no tight lid.");
  }
  if (makes(sheet, "H2(g)")) {
    all.push_back("Hydrogen is given off: no flames, open windows, no tight lid.");
  }
  if (std::any_of(sheet.trials.begin(), sheet.trials.end(), is_hot)) {
    all.push_back(
        "Hot water scalds and hot solids burn: tongs, eye protection, nothing that can tip.");
  }
  if (std::any_of(sheet.trials.begin(), sheet.trials.end(),
                  [](const SheetTrial& trial) { return trial.heater.has_value(); })) {
    all.push_back("Heat with low voltage only, and only while the coil is under water.");
  }
  all.push_back(
      "This list may lack something. Local rules and the responsible teacher decide what "
      "is done and how.");
  return all;
}

}  // namespace nestcup

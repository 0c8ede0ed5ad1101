#include "core/report/words/cautions.hpp"

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

std::vector<std::string> cautions(const Sheet& sheet, const Texts& texts) {
  std::vector<std::string> all;
  const auto say_if = [&](bool applies, const char* name) {
    if (applies) all.push_back(texts[std::string("caution.") + name]);
  };
  const auto any_trial = [&](const std::function<bool(const SheetTrial&)>& is) {
    return std::any_of(sheet.trials.begin(), sheet.trials.end(), is);
  };
  const bool acids =
      has_any(sheet, {"HCl", "HBr", "HI", "HNO3", "HClO4", "H2SO4", "H3PO4", "CH3COOH", "HCOOH"});
  const bool bases = has_any(sheet, {"NaOH", "KOH", "LiOH", "Ba(OH)2", "Ca(OH)2", "NH3"});
  say_if(true, "eyes");
  say_if(acids, "acids");
  say_if(bases, "bases");
  say_if(has_any(sheet, {"NH3", "HCl", "HNO3", "CH3COOH", "HCOOH"}), "vapour");
  say_if(has_any(sheet, {"H2O2"}), "peroxide");
  say_if(has_any(sheet, {"MgO", "CaO", "Mg"}), "dust");
  say_if(makes(sheet, "H2(g)"), "hydrogen");
  say_if(any_trial(is_hot), "hot");
  say_if(any_trial([](const SheetTrial& trial) { return trial.heater.has_value(); }), "heater");
  say_if(true, "disposal");
  say_if(true, "rules");
  return all;
}

}  // namespace nestcup

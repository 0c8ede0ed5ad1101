// The whole way from a sheet to its results, taken for a black box: each figure of the sheet is put
// off by its standard uncertainty to either side, everything is worked out anew, and the squares of
// the half differences must add up to what the results state (JCGM 100:2008, 5.1.3, note 2). With
// densities and heat capacities from tables, where nothing is linear.
#include <cmath>
#include <functional>

#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string afternoon = R"toml([sheet]
title = "An afternoon by tables"
[[instrument]]
name = "cylinder"
u_volume_mL = 0.4
[[instrument]]
name = "balance"
u_mass_g = 0.003
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[stock]]
name = "base"
substance = "NaOH(aq)"
mass_fraction = 0.046
u_mass_fraction = 0.0006
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0, u_volume_mL = 0.2, by = "cylinder" }
typed = { cup_degC = 21.0, final_degC = 39.4, u_degC = 0.1 }
[trial.added]
substance = "water"
volume_mL = 50.0
by = "cylinder"
temperature_degC = 61.0
u_temperature_K = 0.3
left_behind_mL = 0.5
u_left_behind_mL = 0.15
[[trial]]
name = "neutralisation"
purpose = "reaction"
equation = "H+(aq) + OH-(aq) -> H2O(l)"
cup = { stock = "acid", volume_mL = 50.0, by = "cylinder" }
added = { stock = "base", volume_mL = 50.0, by = "cylinder" }
typed = { cup_degC = 21.5, added_degC = 23.8, final_degC = 28.6, u_degC = 0.1 }
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder" }
typed = { cup_degC = 21.0, final_degC = 26.8, u_degC = 0.1 }
[trial.added]
substance = "MgO(s)"
mass_g = 0.700
by = "balance"
temperature_degC = 24.5
u_temperature_K = 0.5
[cycle]
target = "MgO(s) + H2O(l) -> Mg+2(aq) + 2 OH-(aq)"
from = ["neutralisation", "oxide"]
)toml";

/// Puts one figure off by so many of its standard uncertainties.
using Shift = std::function<void(Sheet&, double)>;

void shift_volumes(Sheet& sheet, double by_mL) {
  for (SheetTrial& trial : sheet.trials) {
    for (auto* contents : {&trial.cup, &trial.added}) {
      if (*contents && (*contents)->volume_mL) *(*contents)->volume_mL += by_mL;
    }
  }
}

std::vector<Shift> all_shifts(const Sheet& sheet) {
  std::vector<Shift> shifts{
      [](Sheet& other, double k) { shift_volumes(other, 0.4 * k); },
      [](Sheet& other, double k) { *other.trials[2].added->mass_g += 0.003 * k; },
      [](Sheet& other, double k) { *other.stocks[0].concentration_mol_per_L += 0.01 * k; },
      [](Sheet& other, double k) { *other.stocks[1].mass_fraction += 0.0006 * k; },
      [](Sheet& other, double k) { *other.trials[0].cup->volume_mL += 0.2 * k; },
      [](Sheet& other, double k) { *other.trials[0].added->left_behind_mL += 0.15 * k; },
      [](Sheet& other, double k) { *other.trials[0].added->temperature_degC += 0.3 * k; },
      [](Sheet& other, double k) { *other.trials[2].added->temperature_degC += 0.5 * k; },
      [](Sheet& other, double k) { *other.trials[1].typed[0].added_degC += 0.1 * k; }};
  for (std::size_t trial = 0; trial < sheet.trials.size(); ++trial) {
    shifts.emplace_back(
        [trial](Sheet& other, double k) { other.trials[trial].typed[0].cup_degC += 0.1 * k; });
    shifts.emplace_back(
        [trial](Sheet& other, double k) { *other.trials[trial].typed[0].final_degC += 0.1 * k; });
  }
  return shifts;
}

using Wanted = std::function<Measured(const Results&)>;

/// Variance of a result by all shifts.
double variance_by_shifts(const Sheet& sheet, const Wanted& wanted) {
  double variance = 0.0;
  for (const Shift& shift : all_shifts(sheet)) {
    Sheet above = sheet;
    Sheet below = sheet;
    shift(above, 1.0);
    shift(below, -1.0);
    const double half =
        0.5 * (wanted(work_out(above, {})).value() - wanted(work_out(below, {})).value());
    variance += half * half;
  }
  return variance;
}

/// Without what tables bring in (heat capacities, accepted values): no figure of the sheet.
double variance_of_sheet(const Measured& result, const Inputs& inputs) {
  double variance = 0.0;
  for (const Effect& effect : result.effects()) {
    const ErrorSource source = inputs[effect.input].source;
    if (source == ErrorSource::heat_capacity || source == ErrorSource::accepted) continue;
    variance += effect.by * effect.by;
  }
  return variance;
}

}  // namespace

TEST_CASE("uncertainties are what moves when the figures of the sheet are moved") {
  const auto sheet = parse_sheet(afternoon, "sheet.toml");
  INFO((sheet ? std::string() : sheet.error().text));
  REQUIRE(sheet);
  const Results results = work_out(*sheet, {});
  const std::vector<std::pair<std::string, Wanted>> all{
      {"constant", [](const Results& of) { return *of.constant_J_per_K; }},
      {"neutralisation", [](const Results& of) { return *of.trials[1].delta_H_kJ_per_mol; }},
      {"at 25 degC", [](const Results& of) { return *of.trials[1].delta_H_25_kJ_per_mol; }},
      {"heat", [](const Results& of) { return *of.trials[1].heat_J; }},
      {"oxide", [](const Results& of) { return *of.trials[2].delta_H_kJ_per_mol; }},
      {"extent", [](const Results& of) { return *of.trials[1].extent_mol; }},
      {"cycle", [](const Results& of) { return *of.cycle->delta_H_kJ_per_mol; }}};
  for (const auto& [name, wanted] : all) {
    INFO(name);
    const double stated = variance_of_sheet(wanted(results), results.inputs);
    REQUIRE(stated > 0.0);
    CHECK(std::sqrt(stated) == Approx(std::sqrt(variance_by_shifts(*sheet, wanted))).epsilon(2e-3));
  }
}

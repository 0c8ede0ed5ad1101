#include "tools/forecast/look_out.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/analysis/mixing/mixing_detector.hpp"
#include "core/matter/accepted.hpp"
#include "core/matter/elements.hpp"

namespace nestcup::forecast {
namespace {

/// What two nested foam cups of the usual size take with a lid on, mL (common practice).
constexpr double usual_cup_mL = 200.0;
/// A mole of a gas at 25 degC and one atmosphere, mL.
constexpr double molar_volume_mL = 24465.0;
/// A rise that is known to less than a tenth of itself gives no result worth having.
constexpr double least_rise_over_u = 10.0;

/// One trial with all that is looked at.
struct Watched {
  const Forecast& forecast;
  const SheetTrial& trial;
  const ExpectedTrial& expected;
  std::size_t index;
  ResultNotes& notes;

  void warn(const char* code, const std::string& text) const {
    notes.add({code, Severity::warning, trial.name, text});
  }
  void note(const char* code, const std::string& text) const {
    notes.add({code, Severity::note, trial.name, text});
  }
};

void check_ends(const Watched& watched) {
  const Measured& final_degC = watched.expected.final_degC;
  const double above = final_degC.value() + 2.0 * final_degC.u();
  const double below = final_degC.value() - 2.0 * final_degC.u();
  if (above >= 95.0) {
    watched.warn("may-boil",
                 fmt::format("The cup may come to {:.0f} degC and boil over. Take less, "
                             "or more water.",
                             above));
  }
  if (below <= 0.0) {
    watched.warn("may-freeze", fmt::format("The cup may come down to {:.0f} degC and freeze. Take "
                                           "less, or more water.",
                                           below));
  }
}

void check_rise(const Watched& watched) {
  const double rise_K = std::abs(watched.expected.rise_K.value());
  const double noticed_K =
      std::max(noticed_rise_K, noticed_rise_scatters * watched.forecast.plan.bench.noise_K);
  const double u_K = watched.forecast.trials[watched.index].u_rise_K;
  if (rise_K < noticed_K) {
    watched.warn("rise-may-be-missed",
                 fmt::format("Rises are noticed from {:.2f} K on: mark the pour (nestcup mark), or "
                             "take more substance or less liquid.",
                             noticed_K));
  }
  if (rise_K < least_rise_over_u * u_K) {
    watched.warn("rise-small",
                 fmt::format("The rise is less than {:.0f} times the uncertainty of "
                             "one run, {:.0f} mK. Take more substance or less liquid.",
                             least_rise_over_u, 1e3 * u_K));
  }
}

/// Volume that is there for sure: liquids, and ice as water.
double volume_mL(const std::optional<Contents>& contents) {
  if (!contents) return 0.0;
  if (contents->volume_mL) return *contents->volume_mL;
  const bool counts =
      contents->stock || (contents->substance && (contents->substance->phase == Phase::liquid ||
                                                  contents->substance->text == "H2O(s)"));
  return counts ? contents->mass_g.value_or(0.0) : 0.0;
}

void check_room(const Watched& watched) {
  const double wanted_mL = volume_mL(watched.trial.cup) + volume_mL(watched.trial.added);
  const auto holds_mL = watched.forecast.plan.sheet.calorimeter.volume_mL;
  if (wanted_mL <= holds_mL.value_or(usual_cup_mL)) return;
  watched.warn("cup-too-small",
               fmt::format("{:.0f} mL are more than the {:.0f} mL that {}.", wanted_mL,
                           holds_mL.value_or(usual_cup_mL),
                           holds_mL ? "the cup holds (volume_mL)"
                                    : "cups of the usual size hold; the sheet has no volume_mL"));
}

void check_reactants(const Watched& watched) {
  const auto& reaches = watched.expected.reaches;
  if (watched.expected.rival) {
    watched.warn("limiting-unclear",
                 fmt::format("{} and {} run out at nearly the same extent: which of them limits is "
                             "within their uncertainties. Take one of them in clear excess.",
                             reaches.front().species, *watched.expected.rival));
  }
  const auto& added = watched.trial.added;
  if (reaches.empty() || !added || !added->mass_g || !added->substance) return;
  const auto solid = std::find_if(reaches.begin(), reaches.end(), [&](const Reach& reach) {
    return reach.species == added->substance->text;
  });
  if (solid == reaches.end() || solid == reaches.begin()) return;
  const double left = 1.0 - reaches.front().mol.value() / solid->mol.value();
  watched.warn("weighed-in-is-left",
               fmt::format("{} runs out before {}: {:.2g} g of what is weighed in would be left. "
                           "Take less of it, or more or stronger liquid.",
                           reaches.front().species, solid->species, left * *added->mass_g));
}

void check_gas(const Watched& watched) {
  if (!watched.trial.equation || watched.expected.gas_mol.value() <= 0.0) return;
  for (const Term& term : watched.trial.equation->right) {
    if (term.species.phase != Phase::gas) continue;
    const double mol = to_double(term.coefficient) * watched.expected.reaches.front().mol.value();
    const bool burns = term.species.text == "H2(g)";
    const double volume_mL = 10.0 * std::round(mol * molar_volume_mL / 10.0);
    watched.warn("gas", fmt::format("About {:.0f} mL of {} leave the cup and take vapour along: "
                                    "the lid needs a vent{}.",
                                    std::max(volume_mL, 10.0), term.species.text,
                                    burns ? ". Hydrogen burns: no flames, open windows" : ""));
  }
}

void check_added(const Watched& watched) {
  const BenchPlan& bench = watched.forecast.plan.bench;
  const auto& added = watched.trial.added;
  if (!added || added->temperature_degC || bench.has_added) return;
  if (bench.one_probe && added->volume_mL) {
    watched.note("probe-goes-round",
                 "One probe for both vessels: put it into the second one first, "
                 "for a minute, then into the cup.");
    return;
  }
  if (watched.trial.purpose != Purpose::heat_capacity) return;
  watched.warn("added-temperature-unmeasured",
               "Nothing will tell how warm the solid was: give it a temperature_degC.");
}

/// The rise by another base of accepted values, where that is clearly another one.
void check_bases(const Watched& watched) {
  if (watched.trial.purpose != Purpose::reaction) return;
  const Plan& plan = watched.forecast.plan;
  if (plan.assumptions.enthalpy_kJ_per_mol.contains(watched.trial.name)) return;
  const auto accepted = accepted_enthalpy(*watched.trial.equation);
  if (!accepted) return;
  for (const AcceptedAlternative& other : accepted->other_bases) {
    Assumptions assumptions = plan.assumptions;
    assumptions.enthalpy_kJ_per_mol[watched.trial.name] = {other.value.kJ_per_mol, 0.0, {}};
    const Rises rises = expected_rises(plan.sheet, assumptions);
    const auto& otherwise = rises.trials[watched.index];
    if (!otherwise) continue;
    const double apart_K = otherwise->rise_K.value() - watched.expected.rise_K.value();
    if (std::abs(apart_K) <= 3.0 * watched.expected.rise_K.u()) continue;
    watched.note("bases-apart",
                 fmt::format("By {} the enthalpy is {:.2f} kJ/mol and the rise {:.2f} K.",
                             other.base, other.value.kJ_per_mol, otherwise->rise_K.value()));
  }
}

void check_rehearsal(const Watched& watched) {
  const auto& errors = watched.forecast.plan.errors[watched.index];
  if (!errors || errors->runs == 0) return;
  if (25 * errors->far_off < errors->runs) return;
  watched.note("runs-far-off",
               fmt::format("{} of {} rehearsed runs came out off by more than five times the "
                           "usual, as happens where the heat comes slowly. Their records will "
                           "state a large uncertainty; a longer after period helps.",
                           errors->far_off, errors->runs));
}

}  // namespace

void look_out(Forecast& forecast, std::optional<std::size_t> only) {
  ResultNotes notes = forecast.notes;
  for (std::size_t i = 0; i < forecast.trials.size(); ++i) {
    if (only && *only != i) continue;
    const SheetTrial& trial = forecast.plan.sheet.trials[i];
    const Expectation& expected = forecast.rises.trials[i];
    if (!expected) {
      notes.add({"not-known", Severity::warning, trial.name, expected.error().text + "."});
      continue;
    }
    const Watched watched{forecast, trial, *expected, i, notes};
    check_ends(watched);
    check_rise(watched);
    check_room(watched);
    check_reactants(watched);
    check_gas(watched);
    check_added(watched);
    check_bases(watched);
    check_rehearsal(watched);
  }
  forecast.notes = notes;
}

}  // namespace nestcup::forecast

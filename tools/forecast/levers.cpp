#include "tools/forecast/levers.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <functional>

#include "core/chemistry/main_value.hpp"
#include "tools/forecast/after_period.hpp"

namespace nestcup::forecast {
namespace {

/// A probe that was calibrated, or made to agree with the other: so much is left of its tolerance.
constexpr double calibrated_K = 0.03;
constexpr double too_hot_degC = 80.0;

/// Works changed plans out and keeps what they bring.
class Trying {
 public:
  explicit Trying(const Plan& plan) : plan_(plan) {}

  void add(const std::string& change, const Plan& changed) {
    add(change, changed, expected_rises(changed.sheet, changed.assumptions));
  }
  void add(const std::string& change, const Plan& changed, const Rises& rises) {
    const Results results = outlook(changed, rises);
    Lever lever{change, {}, {}};
    for (const TrialResult& trial : results.trials) {
      const auto& outcome = main_value(trial);
      lever.u.push_back(outcome ? std::optional(outcome->u()) : std::nullopt);
    }
    if (results.cycle && results.cycle->delta_H_kJ_per_mol) {
      lever.u_cycle = results.cycle->delta_H_kJ_per_mol->u();
    }
    all_.push_back(std::move(lever));
  }
  [[nodiscard]] const Plan& plan() const { return plan_; }
  [[nodiscard]] std::vector<Lever> take() { return std::move(all_); }

 private:
  const Plan& plan_;
  std::vector<Lever> all_;
};

/// Half the uncertainty at one place of the plan.
/// @param place  finds it in any plan of the same shape
void try_half(Trying& trying, const std::string& what, const char* unit,
              const std::function<std::optional<double>&(Sheet&)>& place) {
  Plan changed = trying.plan();
  std::optional<double>& u = place(changed.sheet);
  if (!u || *u <= 0.0) return;
  const double before = *u;
  u = 0.5 * before;
  trying.add(fmt::format("{} known to {:.3g} instead of {:.3g} {}", what, *u, before, unit),
             changed);
}

void try_supplies(Trying& trying) {
  const Sheet& sheet = trying.plan().sheet;
  for (std::size_t i = 0; i < sheet.instruments.size(); ++i) {
    const std::string& name = sheet.instruments[i].name;
    try_half(
        trying, name, "mL", [i](Sheet & of) -> auto& { return of.instruments[i].u_volume_mL; });
    try_half(
        trying, name, "g", [i](Sheet & of) -> auto& { return of.instruments[i].u_mass_g; });
  }
  for (std::size_t i = 0; i < sheet.stocks.size(); ++i) {
    const std::string name = "strength of " + sheet.stocks[i].name;
    try_half(
        trying, name,
        "mol/L", [i](Sheet & of) -> auto& { return of.stocks[i].u_concentration_mol_per_L; });
    try_half(
        trying, name, "g/g", [i](Sheet & of) -> auto& { return of.stocks[i].u_mass_fraction; });
  }
  try_half(
      trying, "calorimeter constant", "J/K",
      [](Sheet & of) -> auto& { return of.calorimeter.u_constant_J_per_K; });
}

void try_contents(Trying& trying, std::size_t trial, bool cup) {
  const auto contents_in = [trial, cup](Sheet& sheet) -> Contents& {
    return cup ? *sheet.trials[trial].cup : *sheet.trials[trial].added;
  };
  const SheetTrial& wanted = trying.plan().sheet.trials[trial];
  if (!(cup ? wanted.cup : wanted.added)) return;
  const std::string where = wanted.name + (cup ? ": the cup's " : ": added ");
  try_half(
      trying, where + "volume",
      "mL", [&](Sheet & sheet) -> auto& { return contents_in(sheet).u_volume_mL; });
  try_half(
      trying, where + "mass",
      "g", [&](Sheet & sheet) -> auto& { return contents_in(sheet).u_mass_g; });
}

/// Twice as much of what is weighed in.
void try_twice(Trying& trying, const Rises& rises, std::size_t trial) {
  const Expectation& before = rises.trials[trial];
  Plan changed = trying.plan();
  auto& added = changed.sheet.trials[trial].added;
  if (!before || !added || !added->mass_g) return;
  const double mass_g = *added->mass_g;
  *added->mass_g *= 2.0;
  const Rises after = expected_rises(changed.sheet, changed.assumptions);
  const Expectation& twice = after.trials[trial];
  if (!twice || twice->final_degC.value() > too_hot_degC || twice->final_degC.value() < 2.0) return;
  const auto first = [](const ExpectedTrial& of) {
    return of.reaches.empty() ? std::string() : of.reaches.front().species;
  };
  if (first(*twice) != first(*before) || twice->rival) return;
  trying.add(fmt::format("{}: {:.4g} instead of {:.4g} g", changed.sheet.trials[trial].name,
                         2.0 * mass_g, mass_g),
             changed, after);
}

/// Warmer water for the constant.
void try_warmer(Trying& trying, const Rises& rises, std::size_t trial) {
  constexpr double warmer_K = 10.0, warmest_degC = 75.0;
  const SheetTrial& water = trying.plan().sheet.trials[trial];
  if (water.purpose != Purpose::calorimeter_constant || water.equation || !rises.trials[trial]) {
    return;
  }
  const Measured& before = *rises.trials[trial]->added_degC;
  if (before.value() + warmer_K > warmest_degC) return;
  Plan changed = trying.plan();
  changed.assumptions.added_degC[water.name] = {before.value() + warmer_K, before.u(), {}};
  trying.add(fmt::format("{}: water of {:.0f} instead of {:.0f} degC", water.name,
                         before.value() + warmer_K, before.value()),
             changed);
}

void try_repeats(Trying& trying, std::size_t trial) {
  Plan changed = trying.plan();
  SheetTrial& more = changed.sheet.trials[trial];
  const int before = more.repeats.value_or(1);
  more.repeats = 2 * before;
  trying.add(fmt::format("{}: {} instead of {} runs", more.name, 2 * before, before), changed);
}

void try_bench(Trying& trying, const Rises& rises) {
  Plan changed = trying.plan();
  double& cup_K = changed.bench.cup_tolerance_K;
  double& added_K = changed.bench.added_tolerance_K;
  if (cup_K > calibrated_K || added_K > calibrated_K) {
    cup_K = std::min(cup_K, calibrated_K);
    added_K = std::min(added_K, calibrated_K);
    trying.add(fmt::format("probes calibrated to {} K (nestcup calibrate)", calibrated_K), changed,
               rises);
  }
  const double longer_s = 300.0;
  if (trying.plan().bench.after_period_s >= longer_s) return;
  changed = trying.plan();
  for (std::size_t i = 0; i < changed.errors.size(); ++i) {
    if (!changed.errors[i] || !rises.trials[i]) continue;
    const SheetTrial& trial = changed.sheet.trials[i];
    const auto u_K = [&](double after_s) {
      return course_u_K(*rises.trials[i], trial, changed.bench, after_s);
    };
    changed.errors[i]->rise_K *= u_K(longer_s) / u_K(changed.bench.after_period_s);
  }
  trying.add(
      fmt::format("after period of {} instead of {} s", longer_s, changed.bench.after_period_s),
      changed, rises);
}

std::vector<Gain> worthwhile(std::vector<Gain> gains, double u) {
  std::erase_if(gains, [u](const Gain& gain) { return gain.u > (1.0 - worth_share) * u; });
  std::stable_sort(gains.begin(), gains.end(),
                   [](const Gain& a, const Gain& b) { return a.u < b.u; });
  return gains;
}

}  // namespace

std::vector<Lever> levers(const Plan& plan, const Rises& rises) {
  Trying trying(plan);
  try_supplies(trying);
  for (std::size_t trial = 0; trial < plan.sheet.trials.size(); ++trial) {
    if (!plan.errors[trial]) continue;
    try_contents(trying, trial, true);
    try_contents(trying, trial, false);
    try_twice(trying, rises, trial);
    try_warmer(trying, rises, trial);
    try_repeats(trying, trial);
  }
  try_bench(trying, rises);
  return trying.take();
}

std::vector<Gain> gains_of_trial(const std::vector<Lever>& all, std::size_t trial, double u) {
  std::vector<Gain> gains;
  for (const Lever& lever : all) {
    if (lever.u[trial]) gains.push_back({&lever, *lever.u[trial]});
  }
  return worthwhile(std::move(gains), u);
}

std::vector<Gain> gains_of_cycle(const std::vector<Lever>& all, double u) {
  std::vector<Gain> gains;
  for (const Lever& lever : all) {
    if (lever.u_cycle) gains.push_back({&lever, *lever.u_cycle});
  }
  return worthwhile(std::move(gains), u);
}

}  // namespace nestcup::forecast

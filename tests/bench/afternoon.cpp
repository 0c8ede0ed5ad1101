#include "tests/bench/afternoon.hpp"

#include <cmath>
#include <cstdlib>
#include <map>
#include <string>

#include "core/base/calibration.hpp"
#include "core/chemistry/accepted_values.hpp"
#include "core/chemistry/trial_values.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/one_trial.hpp"
#include "sim/random.hpp"
#include "sim/simulate.hpp"
#include "tests/bench/draw.hpp"
#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

constexpr double tolerance_K = 0.1;
constexpr double oxide_25 = -151.23, metal_25 = -467.0;
constexpr int repeats = 3;

const char* const sheet_text = R"toml(
[sheet]
title = "A simulated afternoon"
[calorimeter]
kind = "two nested foam cups"
[[instrument]]
name = "cylinder"
u_volume_mL = 0.25
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
added = { substance = "water", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder", u_volume_mL = 0.2 }
added = { substance = "MgO(s)", mass_g = 0.720, u_mass_g = 0.002, temperature_degC = 21.0 }
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder", u_volume_mL = 0.2 }
added = { substance = "Mg(s)", mass_g = 0.250, u_mass_g = 0.001, temperature_degC = 21.0 }
[cycle]
target = "Mg(s) + 1/2 O2(g) -> MgO(s)"
from = ["oxide", "metal"]
accepted = ["H2(g) + 1/2 O2(g) -> H2O(l)"]
)toml";

const Sheet& stated_sheet() {
  static const Sheet sheet = parse_sheet(sheet_text, "afternoon.toml").value();
  return sheet;
}

/// How far off everything is this afternoon, in standard uncertainties: one number a name.
class Errors {
 public:
  explicit Errors(sim::Random& random) : random_(random) {}

  double operator[](const std::string& name) {
    const auto known = drawn_.find(name);
    if (known != drawn_.end()) return known->second;
    return drawn_[name] = random_.gaussian();
  }
  /// What a value really is, that follows the tables within their uncertainty.
  double truth(const Measured& value, const Inputs& inputs) {
    double sum = value.value();
    for (const Effect& effect : value.effects()) {
      sum += (*this)[inputs[effect.input].name] * effect.by;
    }
    return sum;
  }
  double own() { return random_.gaussian(); }

 private:
  sim::Random& random_;
  std::map<std::string, double> drawn_;
};

/// The probes' errors, the same all afternoon.
struct ProbeTruth {
  double offset_K = 0.0, scale = 0.0;
};

/// The sheet as things really were in one run: other amounts, without uncertainties.
Sheet true_sheet(std::size_t trial, Errors& errors) {
  Sheet sheet = stated_sheet();
  const double cylinder_mL = 0.25 * errors["the cylinder"];
  for (auto* contents : {&sheet.trials[trial].cup, &sheet.trials[trial].added}) {
    Contents& amount = **contents;
    if (amount.volume_mL) {
      *amount.volume_mL += cylinder_mL + amount.u_volume_mL.value_or(0.0) * errors.own();
    } else {
      *amount.mass_g += amount.u_mass_g.value_or(0.0) * errors.own();
    }
    amount.u_volume_mL.reset();
    amount.u_mass_g.reset();
  }
  sheet.instruments[0].u_volume_mL.reset();
  *sheet.stocks[0].concentration_mol_per_L += 0.01 * errors["the acid"];
  sheet.stocks[0].u_concentration_mol_per_L.reset();
  return sheet;
}

/// What a rise would mean: the constant (J/K) or the enthalpy (kJ/mol) that belongs to it.
double meaning_of(double rise_K, const RunFacts& exact, std::size_t trial, const Sheet& sheet,
                  double constant_J_per_K, Errors& errors) {
  Inputs inputs;
  ResultNotes notes;
  RunFacts facts = exact;
  facts.rise_K.value = rise_K;
  const TrialWork work{sheet, sheet.trials[trial], inputs, notes};
  const auto run = mixed_run(facts, work);
  if (trial == 0) return errors.truth(*constant_of_run(*run, work), inputs);
  const auto reaction = reaction_of_run(*run, Measured(constant_J_per_K), work);
  return errors.truth(reaction->delta_H_kJ_per_mol, inputs);
}

/// The rise that gives this constant or enthalpy, by the secant.
double true_rise_K(double wanted, const RunFacts& exact, std::size_t trial, const Sheet& sheet,
                   double constant_J_per_K, Errors& errors) {
  double a = trial == 0 ? 18.0 : 6.0, b = a + 0.5;
  double at_a = meaning_of(a, exact, trial, sheet, constant_J_per_K, errors) - wanted;
  for (int step = 0; step < 50 && std::abs(b - a) > 1e-9; ++step) {
    const double at_b = meaning_of(b, exact, trial, sheet, constant_J_per_K, errors) - wanted;
    const double next = b - at_b * (b - a) / (at_b - at_a);
    a = b;
    at_a = at_b;
    b = next;
  }
  return b;
}

double enthalpy_at(const Equation& equation, double at_25, double degC, Errors& errors) {
  Inputs inputs;
  const auto delta_Cp = delta_Cp_J_per_mol_K(equation, inputs);
  if (!delta_Cp) return at_25;
  return at_25 + 0.001 * errors.truth(*delta_Cp, inputs) * (degC - 25.0);
}

sim::Scenario scenario_of(double start_degC, double rise_K, double release_s, sim::Random& random) {
  sim::OneTrial one;
  one.rise_K = rise_K;
  one.start_degC = start_degC;
  one.room_degC = uniform(random, 20.5, 22.5);
  one.leak_before_per_s = log_uniform(random, 2e-4, 6e-4);
  one.leak_after_per_s = one.leak_before_per_s;
  one.pour_s = uniform(random, 1.0, 3.0);
  one.release_s = release_s;
  one.lag_s = uniform(random, 3.0, 6.0);
  one.foreperiod_s = uniform(random, 80.0, 140.0);
  one.seed = random.below(1'000'000'000);
  return sim::one_trial_scenario(one);
}

/// Warm water poured in from a second vessel with a probe of its own, in place of heat set free.
void pour_warm_water(sim::Scenario& scenario, double rise_K, double added_degC) {
  const double cool_per_s = 5e-4;
  sim::Mix& mix = std::get<sim::Mix>(scenario.events.front().what);
  const double final_degC = scenario.cup.temperature_degC + rise_K;
  mix.from = sim::Source::given;
  mix.temperature_degC = added_degC;
  mix.added_J_per_K = scenario.cup.heat_capacity_J_per_K * rise_K / (added_degC - final_degC);
  mix.heat_J = 0.0;
  mix.release_s = 0.0;
  mix.leak_after_W_per_K.reset();
  // As warm as that when it is poured.
  const double room_degC = scenario.room.temperature_degC;
  scenario.added = {
      room_degC + (added_degC - room_degC) * std::exp(cool_per_s * scenario.events.front().at_s),
      cool_per_s};
  sim::ProbeSettings probe = scenario.probes.front();
  probe.name = "added";
  probe.place = sim::Place::added;
  scenario.probes.push_back(probe);
}

std::optional<RunFacts> analysed_facts(const sim::Scenario& scenario) {
  const sim::SimulatedRun run = sim::simulate(scenario, scenario.seed);
  Curve cup, added;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    cup.push_back({run.time_s[i], run.probes[0].temperature_degC[i]});
    if (run.probes.size() > 1) added.push_back({run.time_s[i], run.probes[1].temperature_degC[i]});
  }
  auto found = followed_runs(cup, added);
  if (found.size() != 1) return std::nullopt;
  found.front().input.tolerance_K = tolerance_K;
  const RunAnalysis analysis = analyse_run(found.front().input);
  if (!analysis.usable()) return std::nullopt;
  RunFacts facts;
  facts.cup_degC = analysis.cup_at_mixing_degC;
  facts.added_degC = analysis.added_at_mixing_degC;
  const double slope = slope_u_of_tolerance(tolerance_K);
  const double scale_K = slope * analysis.rise.value_K;
  facts.rise_K = {analysis.rise.value_K,
                  std::sqrt(std::max(0.0, std::pow(analysis.rise.u_K, 2) - scale_K * scale_K)),
                  analysis.rise.dof};
  facts.cup_probe = {"probe cup", tolerance_K / std::sqrt(3.0), slope};
  if (run.probes.size() > 1) {
    facts.added_probe = ProbeError{"probe added", tolerance_K / std::sqrt(3.0), slope};
  }
  return facts;
}

/// Goes through one afternoon's runs.
class Laboratory {
 public:
  explicit Laboratory(std::uint64_t seed) : random_(seed, 0), errors_(random_) {
    constant_J_per_K_ = uniform(random_, 15.0, 40.0);
    for (ProbeTruth& probe : probes_) {
      probe.offset_K = uniform(random_, -tolerance_K, tolerance_K);
      probe.scale = slope_u_of_tolerance(tolerance_K) * random_.gaussian();
    }
  }

  bool run_trial(std::size_t trial) {
    const Sheet sheet = true_sheet(trial, errors_);
    RunFacts exact;
    const double start_degC = uniform(random_, 20.5, 22.0);
    exact.cup_degC.value = start_degC;
    exact.added_degC = Uncertain{trial == 0 ? uniform(random_, 55.0, 62.0) : 21.0};
    exact.added_by_hand = true;
    const double wanted = trial == 0 ? constant_J_per_K_ : enthalpy(trial, start_degC);
    const double rise_K = true_rise_K(wanted, exact, trial, sheet, constant_J_per_K_, errors_);
    // The contents relax before the mixing; what counts is how warm they are then.
    sim::Scenario scenario =
        scenario_of(start_degC, rise_K, trial == 0 ? 0.0 : uniform(random_, 4.0, 15.0), random_);
    if (trial == 0) pour_warm_water(scenario, rise_K, exact.added_degC->value);
    for (std::size_t i = 0; i < scenario.probes.size(); ++i) {
      scenario.probes[i].offset_K = probes_[i].offset_K;
      scenario.probes[i].scale_error = probes_[i].scale;
    }
    auto facts = analysed_facts(scenario);
    if (!facts) return false;
    facts->trial = sheet.trials[trial].name;
    facts->id = facts->trial + std::to_string(runs_.size());
    runs_.push_back(std::move(*facts));
    return true;
  }

  [[nodiscard]] Afternoon outcome() {
    const Results results = work_out(stated_sheet(), runs_);
    const auto trial = [&](std::size_t index, double truth) {
      const nestcup::TrialResult& result = results.trials[index];
      const Measured& value = index == 0 ? *result.constant_J_per_K : *result.delta_H_25_kJ_per_mol;
      return Outcome{truth, uncertain(value, results.inputs), alone(result)};
    };
    Afternoon afternoon{trial(0, constant_J_per_K_), trial(1, oxide_25), trial(2, metal_25), {}};
    const double water = errors_.truth(results.cycle->terms[2].kJ_per_mol, results.inputs);
    afternoon.cycle_kJ_per_mol = {
        metal_25 - oxide_25 + water, uncertain(*results.cycle->delta_H_kJ_per_mol, results.inputs),
        std::hypot(afternoon.oxide_kJ_per_mol.u_alone, afternoon.metal_kJ_per_mol.u_alone)};
    return afternoon;
  }

 private:
  double enthalpy(std::size_t trial, double degC) {
    const Equation& equation = *stated_sheet().trials[trial].equation;
    return enthalpy_at(equation, trial == 1 ? oxide_25 : metal_25, degC, errors_);
  }

  static double alone(const nestcup::TrialResult& result) {
    double variance = 0.0;
    for (const RunResult& run : result.runs) variance += run.value.variance();
    return std::sqrt(variance) / static_cast<double>(result.runs.size());
  }

  sim::Random random_;
  Errors errors_;
  double constant_J_per_K_ = 0.0;
  std::array<ProbeTruth, 2> probes_{};
  std::vector<RunFacts> runs_;
};

}  // namespace

std::optional<Afternoon> drawn_afternoon(std::uint64_t seed) {
  Laboratory laboratory(seed);
  for (std::size_t trial = 0; trial < stated_sheet().trials.size(); ++trial) {
    for (int run = 0; run < repeats; ++run) {
      if (!laboratory.run_trial(trial)) return std::nullopt;
    }
  }
  return laboratory.outcome();
}

}  // namespace nestcup::bench

#include "tests/classroom/class_day.hpp"

#include <cmath>
#include <functional>

#include "core/chemistry/accepted_values.hpp"
#include "core/chemistry/trial_values.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/random.hpp"

namespace nestcup::classroom {
namespace {

const char* const sheet_text = R"toml(
[sheet]
title = "Two neutralisations"
[calorimeter]
kind = "two nested foam cups, lid, stir bar"
[[instrument]]
name = "cylinder"
u_volume_mL = 0.25
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[stock]]
name = "base"
substance = "NaOH(aq)"
concentration_mol_per_L = 1.20
u_concentration_mol_per_L = 0.012
[[stock]]
name = "ammonia"
substance = "NH3(aq)"
concentration_mol_per_L = 1.20
u_concentration_mol_per_L = 0.012
[[stock]]
name = "dilute acid"
substance = "HCl(aq)"
concentration_mol_per_L = 0.50
u_concentration_mol_per_L = 0.005
[[stock]]
name = "strong acid"
substance = "HCl(aq)"
concentration_mol_per_L = 2.00
u_concentration_mol_per_L = 0.02
[[trial]]
name = "warm"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
added = { substance = "water", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
[[trial]]
name = "neutralisation"
purpose = "reaction"
repeats = 2
equation = "H+(aq) + OH-(aq) -> H2O(l)"
cup = { stock = "base", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
added = { stock = "acid", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
[[trial]]
name = "ammonia"
purpose = "reaction"
repeats = 2
equation = "NH3(aq) + H+(aq) -> NH4+(aq)"
cup = { stock = "ammonia", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
added = { stock = "acid", volume_mL = 50.0, by = "cylinder", u_volume_mL = 0.15 }
[cycle]
target = "NH4+(aq) + OH-(aq) -> NH3(aq) + H2O(l)"
from = ["neutralisation", "ammonia"]
)toml";

constexpr std::size_t acid = 0, base = 1, ammonia = 2, dilute = 3, strong = 4;

double drawn(sim::Random& random, double mean, double sd) {
  return mean + sd * random.gaussian();
}

/// What is the same for all runs of one bench.
struct BenchTruth {
  double constant_J_per_K = 0.0, leak_per_s = 0.0, cylinder_mL = 0.0;
  std::vector<double> strengths;
};

BenchTruth drawn_truth(sim::Random& random, Mishap mishap) {
  BenchTruth truth;
  truth.constant_J_per_K = drawn(random, 25.0, 1.0);
  truth.leak_per_s = 3e-4 * std::exp(0.1 * random.gaussian());
  truth.cylinder_mL = drawn(random, 0.0, 0.25);
  for (const Stock& stock : class_sheet()->stocks) {
    truth.strengths.push_back(drawn(random, *stock.concentration_mol_per_L,
                                    stock.u_concentration_mol_per_L.value_or(0.0)));
  }
  if (mishap == Mishap::weak_acid) truth.strengths[acid] *= 0.85;
  return truth;
}

/// The sheet as it really was in one run, without uncertainties.
Sheet true_sheet(std::size_t trial, const BenchTruth& truth, Mishap mishap, sim::Random& random) {
  Sheet sheet = *class_sheet();
  for (std::size_t i = 0; i < sheet.stocks.size(); ++i) {
    sheet.stocks[i].concentration_mol_per_L = truth.strengths[i];
    sheet.stocks[i].u_concentration_mol_per_L.reset();
  }
  sheet.instruments[0].u_volume_mL.reset();
  for (auto* vessel : {&sheet.trials[trial].cup, &sheet.trials[trial].added}) {
    Contents& contents = **vessel;
    *contents.volume_mL += truth.cylinder_mL + 0.15 * random.gaussian();
    contents.u_volume_mL.reset();
    if (contents.stock != acid) continue;
    if (mishap == Mishap::dilute_bottle) contents.stock = dilute;
    if (mishap == Mishap::strong_bottle) contents.stock = strong;
  }
  return sheet;
}

/// By how much a rise would give too large a constant or enthalpy.
double surplus(double rise_K, RunFacts facts, std::size_t trial, const Sheet& sheet,
               double constant_J_per_K) {
  Inputs inputs;
  ResultNotes notes;
  facts.rise_K.value = rise_K;
  const TrialWork work{sheet, sheet.trials[trial], inputs, notes};
  const auto run = mixed_run(facts, work);
  if (trial == 0) return constant_of_run(*run, work)->value() - constant_J_per_K;
  const double found =
      reaction_of_run(*run, Measured(constant_J_per_K), work)->delta_H_kJ_per_mol.value();
  const auto delta_Cp = delta_Cp_J_per_mol_K(*sheet.trials[trial].equation, inputs);
  const double at_25 = trial == 1 ? neutralisation_kJ_per_mol : ammonia_kJ_per_mol;
  const double carried = delta_Cp ? 0.001 * delta_Cp->value() * (facts.cup_degC.value - 25.0) : 0.0;
  return found - (at_25 + carried);
}

/// Where a smooth function is 0, by the secant.
double root_of(const std::function<double(double)>& f, double a) {
  double b = 1.05 * a;
  double at_a = f(a);
  for (int step = 0; step < 50 && std::abs(b - a) > 1e-9; ++step) {
    const double at_b = f(b);
    const double next = b - at_b * (b - a) / (at_b - at_a);
    a = b;
    at_a = at_b;
    b = next;
  }
  return b;
}

DayRun drawn_run(std::size_t trial, const BenchTruth& truth, Mishap mishap, sim::Random& random) {
  const Sheet sheet = true_sheet(trial, truth, mishap, random);
  DayRun run;
  run.trial = sheet.trials[trial].name;
  run.start_degC = 20.5 + random.uniform();
  run.added_degC = trial == 0 ? 55.0 + 5.0 * random.uniform() : run.start_degC;
  run.leak_per_s = truth.leak_per_s;
  RunFacts facts;
  facts.cup_degC.value = run.start_degC;
  facts.added_degC = Uncertain{run.added_degC};
  facts.added_by_hand = true;
  run.rise_K = root_of(
      [&](double rise_K) { return surplus(rise_K, facts, trial, sheet, truth.constant_J_per_K); },
      trial == 0 ? 17.0 : 6.0);
  return run;
}

}  // namespace

std::shared_ptr<const Sheet> class_sheet() {
  static const auto sheet =
      std::make_shared<const Sheet>(parse_sheet(sheet_text, "class.toml").value());
  return sheet;
}

std::vector<DayBench> drawn_class(std::uint64_t seed, std::size_t benches,
                                  const std::map<std::size_t, Mishap>& mishaps, int repeats) {
  std::vector<DayBench> all;
  for (std::size_t number = 0; number < benches; ++number) {
    sim::Random random(seed, 1 + number);
    const auto mishap = mishaps.find(number);
    DayBench bench{"bench-" + std::to_string(number + 1),
                   mishap == mishaps.end() ? Mishap::none : mishap->second,
                   0.0,
                   {}};
    const BenchTruth truth = drawn_truth(random, bench.mishap);
    bench.constant_J_per_K = truth.constant_J_per_K;
    for (std::size_t trial = 0; trial < class_sheet()->trials.size(); ++trial) {
      for (int repeat = 0; repeat < repeats; ++repeat) {
        bench.runs.push_back(drawn_run(trial, truth, bench.mishap, random));
      }
    }
    all.push_back(std::move(bench));
  }
  return all;
}

ClassBench read_cheaply(const DayBench& bench, std::uint64_t seed) {
  sim::Random random(seed, 1000 + std::hash<std::string>{}(bench.name) % 1000);
  const bool is_open = bench.mishap == Mishap::lid_off;
  double rise_factor = is_open ? 0.997 : 1.0;
  if (bench.mishap == Mishap::probe_scale) rise_factor = 1.07;
  ClassBench read{bench.name, class_sheet(), {}, {}};
  for (const DayRun& truth : bench.runs) {
    ClassRun run;
    run.facts.id = bench.name + "/" + std::to_string(read.runs.size() + 1);
    run.facts.trial = truth.trial;
    run.facts.cup_degC = {drawn(random, truth.start_degC, 0.002), 0.002};
    run.facts.added_degC = Uncertain{drawn(random, truth.added_degC, 0.02), 0.02};
    run.facts.rise_K = {drawn(random, rise_factor * truth.rise_K, 0.004), 0.004};
    run.facts.cup_probe = {"probe cup", 0.05, 0.001};
    run.facts.added_probe = ProbeError{"probe added", 0.05, 0.001};
    run.label = "run " + std::to_string(read.runs.size() + 1);
    const double leak_per_s = truth.leak_per_s * (is_open ? 2.2 : 1.0);
    run.leak_per_s = {drawn(random, leak_per_s, 0.05 * leak_per_s), 0.05 * leak_per_s};
    run.rest_degC = {drawn(random, is_open ? 18.5 : 21.5, 0.2), 0.2};
    read.runs.push_back(std::move(run));
  }
  return read;
}

}  // namespace nestcup::classroom

#include "tests/bench/forecast_days.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <stdexcept>

#include "core/analysis/run/run_analysis.hpp"
#include "core/base/calibration.hpp"
#include "core/sheet/sheet_file.hpp"
#include "sim/random.hpp"
#include "sim/simulate.hpp"
#include "tests/bench/draw.hpp"
#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

constexpr double foreperiod_s = 105.0, after_s = 250.0;

/// One mixing of a day, cut out of it.
struct Mixing {
  sim::CupSettings cup;
  sim::AddedSettings added;
  sim::Mix mix;
};

std::vector<Mixing> mixings_of(const sim::Scenario& day) {
  std::vector<Mixing> mixings;
  Mixing next{day.cup, day.added, {}};
  for (const sim::Event& event : day.events) {
    if (const auto* cup = std::get_if<sim::FreshCup>(&event.what)) next.cup = cup->cup;
    if (const auto* added = std::get_if<sim::FreshAdded>(&event.what)) next.added = added->added;
    if (const auto* mix = std::get_if<sim::Mix>(&event.what)) {
      next.mix = *mix;
      mixings.push_back(next);
    }
  }
  return mixings;
}

/// How far off everything is today, in standard uncertainties: one number a name.
class Errors {
 public:
  explicit Errors(sim::Random& random) : random_(random) {}
  double operator[](const std::string& name) {
    const auto known = drawn_.find(name);
    return known != drawn_.end() ? known->second : drawn_[name] = random_.gaussian();
  }
  double own() { return random_.gaussian(); }

 private:
  sim::Random& random_;
  std::map<std::string, double> drawn_;
};

/// What is really in a vessel where the sheet says so much.
double drawn_amount(const Contents& contents, const Sheet& sheet, Errors& errors) {
  const Instrument* const by =
      contents.instrument ? &sheet.instruments[*contents.instrument] : nullptr;
  const bool liquid = contents.volume_mL.has_value();
  double amount = liquid ? *contents.volume_mL : *contents.mass_g;
  amount += (liquid ? contents.u_volume_mL : contents.u_mass_g).value_or(0.0) * errors.own();
  if (by == nullptr) return amount;
  const std::string name = (liquid ? "volume by " : "mass by ") + by->name;
  return amount + (liquid ? by->u_volume_mL : by->u_mass_g).value_or(0.0) * errors[name];
}

/// The mixing with other amounts: heat and heat capacities go with them. The constant's own part
/// of the cup does not.
Mixing with_amounts(Mixing mixing, const DayTruth::Run& used, const SheetTrial& trial,
                    const Sheet& sheet, double constant_J_per_K, Errors& errors) {
  const double cup = drawn_amount(*trial.cup, sheet, errors);
  const double added = drawn_amount(*trial.added, sheet, errors);
  const double left = trial.added->left_behind_mL.value_or(0.0);
  const double more = (added - left) / (used.added - left);
  double& cup_J_per_K = mixing.cup.heat_capacity_J_per_K;
  cup_J_per_K = constant_J_per_K + (cup_J_per_K - constant_J_per_K) * cup / used.cup_mL;
  mixing.mix.added_J_per_K *= more;
  mixing.mix.heat_J *= more;
  return mixing;
}

struct Probe {
  double offset_K = 0.0, scale = 0.0, lag_s = 4.0;
};

Probe drawn_probe(const DayProbes& probes, sim::Random& random) {
  Probe probe;
  probe.lag_s = uniform(random, probes.least_lag_s, probes.most_lag_s);
  if (probes.tolerance_K > 0.0) {
    probe.offset_K = uniform(random, -probes.tolerance_K, probes.tolerance_K);
    probe.scale = slope_u_of_tolerance(probes.tolerance_K) * random.gaussian();
  }
  return probe;
}

sim::Scenario scenario_of(const sim::Scenario& day, const Mixing& mixing, const Probe& cup,
                          const Probe& added) {
  sim::Scenario scenario = day;
  scenario.events.clear();
  scenario.cup = mixing.cup;
  scenario.added = mixing.added;
  scenario.duration_s = foreperiod_s + after_s + 4.0 * mixing.mix.release_s;
  scenario.probes.resize(2);
  const Probe* const all[] = {&cup, &added};
  for (std::size_t i = 0; i < 2; ++i) {
    scenario.probes[i].offset_K = all[i]->offset_K;
    scenario.probes[i].scale_error = all[i]->scale;
    scenario.probes[i].lag_s = all[i]->lag_s;
  }
  // Where a solid is put in, the second probe hangs in the room as the solid stands there.
  if (mixing.mix.from == sim::Source::room) scenario.probes[1].place = sim::Place::air;
  scenario.events = {{foreperiod_s, mixing.mix}};
  return scenario;
}

std::optional<RunInput> input_of(const Curve& cup, const Curve& added, bool followed) {
  if (followed) {
    auto runs = followed_runs(cup, added);
    if (runs.size() != 1) return std::nullopt;
    return std::move(runs.front().input);
  }
  RunInput input;
  input.cup = cup;
  input.added = added;
  for (const Point& point : cup) {
    if (point.time_s < foreperiod_s) continue;
    input.onset_hint_s = point.time_s;
    if (std::abs(point.temperature_degC - cup[0].temperature_degC) > 0.1) break;
  }
  return input;
}

/// A run as `nestcup results` gets it, and by how much its rise is off.
struct LivedRun {
  RunFacts facts;
  double rise_error_K = 0.0;
  double true_rise_K = 0.0;
};

std::optional<LivedRun> lived_run(const sim::Scenario& scenario, const DayProbes& probes,
                                  std::uint64_t seed, bool followed) {
  const sim::SimulatedRun run = sim::simulate(scenario, seed);
  Curve cup, added;
  for (std::size_t i = 0; i < run.time_s.size(); ++i) {
    cup.push_back({run.time_s[i], run.probes[0].temperature_degC[i]});
    added.push_back({run.time_s[i], run.probes[1].temperature_degC[i]});
  }
  const auto input = input_of(cup, added, followed);
  if (!input) return std::nullopt;
  const RunAnalysis analysis = analyse_run(*input);
  if (!analysis.usable() || !analysis.added_at_mixing_degC) return std::nullopt;
  const double slope = probes.tolerance_K > 0.0 ? slope_u_of_tolerance(probes.tolerance_K) : 0.0;
  const double offset_K = probes.tolerance_K / std::sqrt(3.0);
  LivedRun lived;
  lived.facts.cup_degC = analysis.cup_at_mixing_degC;
  lived.facts.added_degC = analysis.added_at_mixing_degC;
  lived.facts.rise_K = {analysis.rise.value_K, analysis.rise.u_K, analysis.rise.dof};
  lived.facts.cup_probe = {"probe cup", offset_K, slope};
  lived.facts.added_probe = ProbeError{"probe added", offset_K, slope};
  lived.true_rise_K = run.truth.front().corrected_rise_K;
  lived.rise_error_K = analysis.rise.value_K - lived.true_rise_K;
  return lived;
}

/// What a result would be if the tables were off as they are today.
double with_tables(const Measured& found, const Inputs& inputs, Errors& errors) {
  double value = found.value();
  for (const Effect& effect : found.effects()) {
    const ErrorSource source = inputs[effect.input].source;
    if (source != ErrorSource::heat_capacity && source != ErrorSource::accepted) continue;
    value += effect.by * errors["table: " + inputs[effect.input].name];
  }
  return value;
}

const std::optional<Measured>& result_of(const nestcup::TrialResult& trial) {
  if (trial.constant_J_per_K) return trial.constant_J_per_K;
  if (trial.delta_H_25_kJ_per_mol) return trial.delta_H_25_kJ_per_mol;
  if (trial.delta_H_kJ_per_mol) return trial.delta_H_kJ_per_mol;
  return trial.heat_capacity_J_per_g_K ? trial.heat_capacity_J_per_g_K : trial.fusion_J_per_g;
}

/// Goes through days of one kind.
class Life {
 public:
  Life(const DayTruth& day, const DayProbes& probes, bool followed)
      : day_(day), probes_(probes), followed_(followed) {
    const std::string root = std::string(NESTCUP_SOURCE_DIR) + "/";
    auto scenario = sim::read_scenario(root + "sim/scenarios/" + day.scenario + ".toml");
    auto sheet = read_sheet(root + day.sheet);
    if (!scenario || !sheet) throw std::runtime_error(day.scenario);
    scenario_ = std::move(scenario).value();
    errors_.sheet = std::move(sheet).value();
    mixings_ = mixings_of(scenario_);
    errors_.rise_K.resize(day.trials.size());
    errors_.result.resize(day.trials.size());
    errors_.mean_rise_K.resize(day.trials.size());
  }

  void live(sim::Random& random) {
    Errors errors(random);
    const Probe cup = drawn_probe(probes_, random), added = drawn_probe(probes_, random);
    std::vector<RunFacts> runs;
    auto mixing = mixings_.begin();
    for (std::size_t trial = 0; trial < day_.trials.size(); ++trial) {
      for (const DayTruth::Run& used : day_.trials[trial].runs) {
        const SheetTrial& planned = errors_.sheet.trials[trial];
        const Mixing today =
            with_amounts(*mixing++, used, planned, errors_.sheet, day_.trials[0].result, errors);
        auto lived = lived_run(scenario_of(scenario_, today, cup, added), probes_,
                               random.below(1'000'000'000), followed_);
        if (!lived) {
          ++errors_.lost;
          continue;
        }
        errors_.rise_K[trial].push_back(lived->rise_error_K);
        rises_[trial].push_back(lived->true_rise_K);
        lived->facts.trial = planned.name;
        lived->facts.id = planned.name + std::to_string(runs.size());
        runs.push_back(std::move(lived->facts));
      }
    }
    take_results(work_out(errors_.sheet, runs), errors);
  }

  [[nodiscard]] DayErrors errors() {
    for (const auto& [trial, rises] : rises_) {
      for (const double rise_K : rises) {
        errors_.mean_rise_K[trial] += rise_K / static_cast<double>(rises.size());
      }
    }
    return std::move(errors_);
  }

 private:
  void take_results(const Results& results, Errors& errors) {
    for (std::size_t trial = 0; trial < day_.trials.size(); ++trial) {
      const auto& found = result_of(results.trials[trial]);
      if (!found) continue;
      errors_.result[trial].push_back(with_tables(*found, results.inputs, errors) -
                                      day_.trials[trial].result);
    }
    if (!results.cycle || !results.cycle->delta_H_kJ_per_mol) return;
    errors_.cycle.push_back(
        with_tables(*results.cycle->delta_H_kJ_per_mol, results.inputs, errors) - day_.cycle);
  }

  const DayTruth& day_;
  const DayProbes& probes_;
  bool followed_;
  sim::Scenario scenario_;
  std::vector<Mixing> mixings_;
  std::map<std::size_t, std::vector<double>> rises_;
  DayErrors errors_;
};

}  // namespace

const std::vector<DayTruth>& day_truths() {
  static const std::vector<DayTruth> days{{"oxide-day",
                                           "tools/demo/sheet.toml",
                                           {{28.0, {{50.0, 50.0}, {50.0, 50.0}}},
                                            {-151.23, {{100.0, 0.7200}, {100.0, 0.7217}}},
                                            {-467.0, {{100.0, 0.2506}, {100.0, 0.2492}}},
                                            {14.78, {{100.0, 5.00}}}},
                                           -601.6},
                                          {"magnesium-sulfate-day",
                                           "tools/examples/magnesium-sulfate.toml",
                                           {{30.0, {{50.1, 50.1}, {50.1, 50.1}}},
                                            {-91.2, {{100.1, 3.012}, {100.1, 3.012}}},
                                            {11.8, {{96.9, 6.165}, {96.9, 6.165}}}},
                                           -103.0},
                                          {"metal-and-ice-day",
                                           "tools/examples/metal-and-ice.toml",
                                           {{30.0, {{60.15, 60.15}, {60.15, 60.15}}},
                                            {0.900, {{110.15, 54.31}, {110.15, 54.31}}},
                                            {333.5, {{110.15, 14.63}, {110.15, 14.63}}}},
                                           0.0}};
  return days;
}

DayErrors lived_days(const DayTruth& day, const DayProbes& probes, int days, std::uint64_t seed,
                     bool followed) {
  sim::Random random(seed, 0);
  Life life(day, probes, followed);
  for (int i = 0; i < days; ++i) life.live(random);
  return life.errors();
}

}  // namespace nestcup::bench

#include "tools/forecast/rehearsal.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include "core/analysis/run/run_analysis.hpp"
#include "sim/random.hpp"
#include "sim/simulate.hpp"

namespace nestcup::forecast {
namespace {

double uniform(sim::Random& random, double low, double high) {
  return low + (high - low) * random.uniform();
}

double log_uniform(sim::Random& random, double low, double high) {
  return std::exp(uniform(random, std::log(low), std::log(high)));
}

/// One run as it is going to be simulated.
struct Rehearsal {
  sim::Scenario scenario;
  double mixing_s = 0.0;
  double added_lag_s = 0.0;
};

sim::ProbeSettings probe_of(const BenchPlan& bench, const char* name, sim::Place place,
                            sim::Random& random) {
  sim::ProbeSettings probe;
  probe.name = name;
  probe.place = place;
  probe.lag_s = uniform(random, bench.least_lag_s, bench.most_lag_s);
  probe.air_lag_s = 60.0;
  probe.noise_K = bench.noise_K;
  probe.step_K = bench.step_K;
  return probe;
}

/// Liquids come from a vessel that cools; a solid waits at one temperature, in air or in a bath.
bool is_liquid(const Contents& contents) {
  return contents.volume_mL || contents.stock;
}

/// What is put in, and the heat that makes up for the rest of the expected rise.
sim::Mix mix_of(const ExpectedTrial& expected, const SheetTrial& trial, sim::Random& random) {
  sim::Mix mix;
  mix.trial = expected.name;
  mix.pour_s = uniform(random, is_liquid(*trial.added) ? 1.5 : 1.0, 3.0);
  mix.release_s = usual_release_s(trial) * log_uniform(random, 0.8, 1.25);
  mix.from = is_liquid(*trial.added) ? sim::Source::added : sim::Source::given;
  mix.temperature_degC = expected.added_degC->value();
  mix.added_J_per_K = std::max(0.0, expected.after_J_per_K - expected.cup_J_per_K);
  const double warmer_K = mix.temperature_degC - expected.cup_degC.value();
  const double after_J_per_K = expected.cup_J_per_K + mix.added_J_per_K;
  mix.heat_J = expected.rise_K.value() * after_J_per_K - mix.added_J_per_K * warmer_K;
  // Liquids that only mix bring their heat along.
  if (!trial.equation && trial.purpose != Purpose::fusion) mix.heat_J = 0.0;
  return mix;
}

/// The second vessel, as warm as expected when it is poured.
sim::AddedSettings vessel_of(const ExpectedTrial& expected, const SheetTrial& trial,
                             double room_degC, double mixing_s) {
  const double added_degC = expected.added_degC->value();
  if (!is_liquid(*trial.added)) return {added_degC, 0.0};
  const double leak_per_s = 5e-4;
  return {room_degC + (added_degC - room_degC) * std::exp(leak_per_s * mixing_s), leak_per_s};
}

Rehearsal rehearsal_of(const ExpectedTrial& expected, const SheetTrial& trial,
                       const BenchPlan& bench, sim::Random& random) {
  Rehearsal run;
  run.mixing_s = uniform(random, 80.0, 120.0);
  const double cup_degC = expected.cup_degC.value();
  const double room_degC = cup_degC + uniform(random, -0.7, 0.7);
  const double leak_W_per_K = expected.after_J_per_K * log_uniform(random, 2e-4, 5e-4);
  sim::Scenario& scenario = run.scenario;
  scenario.name = expected.name;
  scenario.interval_s = bench.interval_s;
  scenario.room.temperature_degC = room_degC;
  scenario.cup = {expected.cup_J_per_K, cup_degC, leak_W_per_K, 0.03};
  scenario.probes = {probe_of(bench, "cup", sim::Place::cup, random)};
  double slowest_s = scenario.probes.front().lag_s, pour_s = 0.0;
  if (trial.heater) {
    pour_s = trial.heater->time_s;
    const double power_W = trial.heater->voltage_V * trial.heater->current_A;
    scenario.events = {{run.mixing_s, sim::Heat{expected.name, power_W, pour_s}}};
  } else {
    const sim::Mix mix = mix_of(expected, trial, random);
    pour_s = mix.pour_s;
    slowest_s = std::max(slowest_s, mix.release_s);
    scenario.events = {{run.mixing_s, mix}};
    scenario.added = vessel_of(expected, trial, room_degC, run.mixing_s);
    scenario.probes.push_back(probe_of(bench, "added", sim::Place::added, random));
    run.added_lag_s = scenario.probes.back().lag_s;
  }
  if (bench.has_room) scenario.probes.push_back(probe_of(bench, "room", sim::Place::air, random));
  scenario.duration_s = run.mixing_s + pour_s +
                        main_period_s(expected.rise_K.value(), slowest_s, bench) +
                        bench.after_period_s;
  return run;
}

Curve curve_of(const sim::SimulatedRun& run, const std::string& probe) {
  Curve curve;
  for (const sim::ProbeTrace& trace : run.probes) {
    if (trace.name != probe) continue;
    for (std::size_t i = 0; i < run.time_s.size(); ++i) {
      curve.push_back({run.time_s[i], trace.temperature_degC[i]});
    }
  }
  return curve;
}

/// First reading that clearly left the foreperiod, as the daemon would tell it; nothing where none
/// does.
std::optional<double> onset_s(const Curve& cup, double mixing_s, double rise_K,
                              const BenchPlan& bench) {
  const double clear_K =
      std::max({0.05 * std::abs(rise_K), 5.0 * bench.noise_K, 1.1 * bench.step_K});
  double before_degC = cup.front().temperature_degC;
  for (const Point& point : cup) {
    if (point.time_s <= mixing_s) {
      before_degC = point.temperature_degC;
    } else if (std::abs(point.temperature_degC - before_degC) > clear_K) {
      return point.time_s;
    }
  }
  return std::nullopt;
}

/// What was found, run by run, K.
struct Found {
  std::vector<double> rise, cup, stated_rise, stated_cup, stated_added;
  std::vector<std::pair<double, double>> added;  ///< lag (s) and error (K)
};

bool take_run(const Rehearsal& rehearsal, const BenchPlan& bench, bool heater, std::uint64_t seed,
              Found& found) {
  const sim::SimulatedRun run = sim::simulate(rehearsal.scenario, seed);
  RunInput input;
  input.cup = curve_of(run, "cup");
  input.added = curve_of(run, "added");
  input.room = curve_of(run, "room");
  input.after_period_s = bench.after_period_s;
  input.heater = heater;
  const sim::TrialTruth& truth = run.truth.front();
  const auto hint_s = onset_s(input.cup, rehearsal.mixing_s, truth.corrected_rise_K, bench);
  input.onset_hint_s = hint_s.value_or(rehearsal.mixing_s + 2.0);
  // What does not show by itself is marked by hand.
  if (!hint_s) input.mark_s = rehearsal.mixing_s;
  const RunAnalysis analysis = analyse_run(input);
  if (!analysis.usable()) return false;
  found.rise.push_back(analysis.rise.value_K - truth.corrected_rise_K);
  found.cup.push_back(analysis.cup_at_mixing_degC.value - truth.cup_at_mixing_degC);
  found.stated_rise.push_back(analysis.rise.u_K);
  found.stated_cup.push_back(analysis.cup_at_mixing_degC.u);
  if (analysis.added_at_mixing_degC && truth.added_degC) {
    found.stated_added.push_back(analysis.added_at_mixing_degC->u);
    found.added.emplace_back(rehearsal.added_lag_s,
                             analysis.added_at_mixing_degC->value - *truth.added_degC);
  }
  return true;
}

/// What goes with the lag (and is there in all runs), and what is left: the line through the
/// errors over the lags.
void divide_added(const std::vector<std::pair<double, double>>& added, RunErrors& errors) {
  if (added.size() < 3) return;
  const double n = static_cast<double>(added.size());
  double mean_lag = 0.0, mean = 0.0, lags = 0.0, both = 0.0, all = 0.0;
  for (const auto& [lag_s, error_K] : added) mean_lag += lag_s / n, mean += error_K / n;
  for (const auto& [lag_s, error_K] : added) {
    lags += (lag_s - mean_lag) * (lag_s - mean_lag);
    both += (lag_s - mean_lag) * (error_K - mean);
    all += (error_K - mean) * (error_K - mean);
  }
  const double explained = lags > 0.0 ? both * both / lags : 0.0;
  errors.added_lag_K = std::sqrt(mean * mean + explained / n);
  errors.added_K = std::sqrt(std::max(0.0, all - explained) / (n - 2.0));
}

}  // namespace

double usual_release_s(const SheetTrial& trial) {
  if (trial.purpose == Purpose::fusion) return 22.0;
  if (trial.purpose == Purpose::heat_capacity) return 3.0;
  if (!trial.equation || !trial.added || is_liquid(*trial.added)) return 1.0;
  const auto& made = trial.equation->right;
  const bool gas = std::any_of(made.begin(), made.end(),
                               [](const Term& term) { return term.species.phase == Phase::gas; });
  return gas ? 14.0 : 8.0;
}

int enough_runs(const BenchPlan& bench) {
  if (bench.step_K > 4.0 * bench.noise_K) return 8;
  return bench.step_K > 2.0 * bench.noise_K ? 40 : 120;
}

double main_period_s(double rise_K, double slowest_s, const BenchPlan& bench) {
  const double scatter_K = std::hypot(bench.noise_K, bench.step_K / std::sqrt(12.0));
  const double left = std::abs(rise_K) / (0.2 * std::max(scatter_K, 1e-4));
  return slowest_s * std::log(std::max(left, 2.0));
}

double spread_about_zero(std::vector<double> errors) {
  if (errors.empty()) return 0.0;
  for (double& error : errors) error = std::abs(error);
  std::sort(errors.begin(), errors.end());
  const double count = static_cast<double>(errors.size());
  const auto place = static_cast<std::size_t>(std::ceil(0.6827 * count)) - 1;
  const double most = 3.0 * errors[place];
  double squares = 0.0;
  for (const double error : errors) squares += std::min(error, most) * std::min(error, most);
  return std::sqrt(squares / count);
}

RunErrors rehearsed(const ExpectedTrial& expected, const SheetTrial& trial, const BenchPlan& bench,
                    int runs, std::uint64_t seed) {
  sim::Random random(seed, 0);
  Found found;
  RunErrors errors;
  errors.runs = runs;
  for (int i = 0; i < runs; ++i) {
    const Rehearsal rehearsal = rehearsal_of(expected, trial, bench, random);
    const std::uint64_t noise_seed = random.below(1'000'000'000);
    const bool usable = take_run(rehearsal, bench, trial.heater.has_value(), noise_seed, found);
    errors.unusable += usable ? 0 : 1;
  }
  errors.rise_K = spread_about_zero(found.rise);
  errors.cup_K = spread_about_zero(found.cup);
  errors.stated_rise_K = spread_about_zero(found.stated_rise);
  errors.stated_cup_K = spread_about_zero(found.stated_cup);
  errors.stated_added_K = spread_about_zero(found.stated_added);
  errors.far_off =
      static_cast<int>(std::count_if(found.rise.begin(), found.rise.end(), [&](double error_K) {
        return std::abs(error_K) > 5.0 * errors.rise_K;
      }));
  divide_added(found.added, errors);
  return errors;
}

}  // namespace nestcup::forecast

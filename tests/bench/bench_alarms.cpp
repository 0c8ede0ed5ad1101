// Whether the detector finds every mixing and nothing else, and what it costs.
//
// bench_alarms [HOURS [TRIALS [SEED [FROM]]]] [--put-back] [--list] [--at-most FALSE MISSED] prints
// one figure a line: name, value, unit. FROM: the first hour and trial of the seed, 0 where none is
// given. --put-back: probes that are lifted are put back within two minutes and visit no vessel.
//   alarms.*  runs found in hours in which nobody pours (quiet_grid.hpp); what no method can tell
//             from a mixing is counted apart (nearest_mixing.hpp)
//   misses.*  mixings from the smallest that must be found upwards, not found (small_rises.hpp)
//   cost.*    processor time per reading in a long log against a short one
// --at-most FALSE MISSED: exit code 1 where there are more false runs or more misses than that.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <ctime>
#include <string>

#include "tests/bench/bench_words.hpp"
#include "tests/bench/nearest_mixing.hpp"
#include "tests/bench/quiet_grid.hpp"
#include "tests/bench/small_rises.hpp"
#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

double processor_s() {
  return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

void print(std::string_view name, double value, std::string_view unit) {
  fmt::print("{} {:.6g} {}\n", name, value, unit);
}

/// Every hour and trial has its own stream, so that one can be looked at alone.
constexpr std::uint64_t quiet_stream = 1000, rise_stream = 1'000'000'000;

/// How far the readings of a run would be from every single mixing if they had no noise, in
/// standard deviations of the noise (root of the sum of squares over the run).
double distance_from_mixing(const QuietHour& hour, const FollowedRun& run) {
  QuietHour silent = hour;
  sim::ProbeSettings& probe = silent.scenario.probes[0];
  const Noise noise{probe.noise_K, probe.step_K};
  probe.noise_K = probe.step_K = 0.0;
  const double onset_s = run.begin_s + run.input.onset_hint_s;
  const Curve curve = readings_of(silent, 0);
  const CurveView window = between(curve, std::max(run.begin_s, onset_s - 150.0),
                                   run.begin_s + run.input.cup.back().time_s);
  return nearest_mixing(window, onset_s, noise);
}

struct Alarms {
  std::array<int, static_cast<std::size_t>(Disturbance::count)> events{}, runs{};
  int untellable = 0;
  double follower_s = 0.0, simulation_s = 0.0;
};

/// What the list says of a run: whether nothing can tell it, and how it was found.
std::string_view kind_of(const FollowedRun& run, bool untellable) {
  if (untellable) return "untellable ";
  if (run.input.pour_within) return "unseen ";
  return run.input.one_probe ? "carried " : "";
}

void add_hour(Alarms& alarms, std::uint64_t seed, std::uint64_t index, Away away, bool list) {
  sim::Random random(seed, quiet_stream + index);
  const double begin_s = processor_s();
  const QuietHour hour = drawn_quiet_hour(random, away);
  const Curve curve = readings_of(hour, random.below(1U << 30U));
  const double simulated_s = processor_s();
  const std::vector<FollowedRun> runs = followed_runs(curve);
  alarms.simulation_s += simulated_s - begin_s;
  alarms.follower_s += processor_s() - simulated_s;
  for (const Disturbed& event : hour.events) ++alarms.events[static_cast<std::size_t>(event.kind)];
  for (const FollowedRun& run : runs) {
    const double onset_s = run.begin_s + run.input.onset_hint_s;
    const Disturbed event = hour.event_before(onset_s);
    const double distance = distance_from_mixing(hour, run);
    const bool untellable = distance < untellable_distance;
    ++(untellable ? alarms.untellable : alarms.runs[static_cast<std::size_t>(event.kind)]);
    if (!list) continue;
    const sim::ProbeSettings& probe = hour.scenario.probes[0];
    fmt::print(
        "# {}{:.1f} {} {} run at {:.1f} to {:.1f} s in {} {:.1f} to {:.1f} s, interval {} noise "
        "{:.3f}"
        " step {} lag {:.1f} cut {}\n",
        kind_of(run, untellable), distance, seed, index, onset_s,
        run.begin_s + run.input.cup.back().time_s, disturbance_name(event.kind), event.from_s,
        event.until_s, hour.scenario.interval_s, probe.noise_K, probe.step_K, probe.lag_s,
        run.input.cut_by_next);
  }
}

int print_alarms(int from, int hours, std::uint64_t seed, Away away, bool list) {
  Alarms alarms;
  for (int i = from; i < from + hours; ++i) {
    add_hour(alarms, seed, static_cast<std::uint64_t>(i), away, list);
  }
  int total = 0;
  for (std::size_t kind = 0; kind < alarms.runs.size(); ++kind) {
    const auto name = disturbance_name(static_cast<Disturbance>(kind));
    if (kind > 0) print(fmt::format("alarms.{}.events", name), alarms.events[kind], "1");
    print(fmt::format("alarms.{}.false_runs", name), alarms.runs[kind], "1");
    total += alarms.runs[kind];
  }
  print("alarms.hours", hours, "h");
  print("alarms.false_runs", total, "1");
  print("alarms.false_runs_per_1000_h", 1000.0 * total / std::max(1, hours), "1");
  print("alarms.untellable_runs", alarms.untellable, "1");
  print("alarms.follower_time_per_hour", alarms.follower_s / std::max(1, hours), "s");
  print("alarms.simulation_time_per_hour", alarms.simulation_s / std::max(1, hours), "s");
  return total;
}

/// Rises of like size over their thresholds.
struct Bin {
  double most = 0.0;  ///< largest rise over threshold
  int trials = 0, missed = 0;
};

struct Misses {
  std::array<Bin, 5> bins{Bin{1.25}, Bin{2.0}, Bin{4.0}, Bin{10.0}, Bin{INFINITY}};
  int extra = 0;
  std::vector<double> onset_error_s, onset_error_intervals;
};

void add_trial(Misses& misses, std::uint64_t seed, std::uint64_t index, bool list) {
  sim::Random random(seed, rise_stream + index);
  const sim::OneTrial trial = drawn_small_rise(random);
  const std::vector<FollowedRun> runs = followed_runs(readings_of(trial));
  const double over_threshold = std::abs(trial.rise_K) / threshold_K(trial.noise_K, trial.step_K);
  Bin& bin = *std::find_if(misses.bins.begin(), misses.bins.end(),
                           [&](const Bin& each) { return over_threshold <= each.most; });
  ++bin.trials;
  int found = 0;
  for (const FollowedRun& run : runs) {
    const double onset_s = run.begin_s + run.input.onset_hint_s;
    if (found > 0 || !is_run_of(trial, onset_s)) continue;
    ++found;
    misses.onset_error_s.push_back(onset_s - trial.foreperiod_s);
  }
  misses.extra += static_cast<int>(runs.size()) - found;
  bin.missed += found == 0;
  if (!list || (found == 1 && runs.size() == 1)) return;
  fmt::print(
      "# {} {} {} runs, {} x threshold: rise {:.3f} interval {} noise {:.4f} step {} pour "
      "{:.1f} release {:.1f} lag {:.1f} fore {:.1f} after {:.0f}\n",
      seed, index, runs.size(), over_threshold, trial.rise_K, trial.interval_s, trial.noise_K,
      trial.step_K, trial.pour_s, trial.release_s, trial.lag_s, trial.foreperiod_s, trial.after_s);
}

int print_misses(int from, int trials, std::uint64_t seed, bool list) {
  Misses misses;
  for (int i = from; i < from + trials; ++i) {
    add_trial(misses, seed, static_cast<std::uint64_t>(i), list);
  }
  int total = 0;
  for (const Bin& bin : misses.bins) {
    const std::string name = fmt::format("misses.up_to_{}_thresholds", bin.most);
    print(name + ".trials", bin.trials, "1");
    print(name + ".missed", bin.missed, "1");
    total += bin.missed;
  }
  print("misses.trials", trials, "1");
  print("misses.missed", total, "1");
  print("misses.extra_runs", misses.extra, "1");
  print("misses.first_reading_off.median", quantile(misses.onset_error_s, 0.5), "s");
  print("misses.first_reading_off.95%", quantile(misses.onset_error_s, 0.95), "s");
  return total;
}

/// Processor time per reading of a quiet log, s.
double cost_s(double hours, std::uint64_t seed) {
  sim::OneTrial drift;
  drift.foreperiod_s = 3600.0 * hours;
  drift.after_s = 0.0;
  drift.start_degC = drift.room_degC + 10.0;
  drift.seed = seed;
  const Curve curve = readings_of(drift);
  double least_s = INFINITY;
  for (int turn = 0; turn < 3; ++turn) {
    const double begin_s = processor_s();
    if (!followed_runs(curve).empty()) return NAN;
    least_s = std::min(least_s, processor_s() - begin_s);
  }
  return least_s / static_cast<double>(curve.size());
}

void print_cost(std::uint64_t seed) {
  const double short_s = cost_s(1.0, seed), long_s = cost_s(10.0, seed);
  print("cost.per_reading.1_h", 1e6 * short_s, "us");
  print("cost.per_reading.10_h", 1e6 * long_s, "us");
  print("cost.long_over_short", long_s / short_s, "1");
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  using namespace nestcup::bench;
  std::vector<std::string> words(argv + 1, argv + argc);
  const bool list = std::erase(words, "--list") > 0;
  const Away away = std::erase(words, "--put-back") > 0 ? Away::put_back : Away::long_stays;
  const std::vector<int> most = taken_numbers(words, "--at-most", 2);
  const int hours = count_at(words, 0, 1000), trials = count_at(words, 1, 5000);
  const std::uint64_t seed = seed_at(words, 2);
  const int from = count_at(words, 3, 0);
  fmt::print("alarms.seed {} 1\n", seed);
  const int alarms = print_alarms(from, hours, seed, away, list);
  const int misses = print_misses(from, trials, seed, list);
  print_cost(seed);
  return !most.empty() && (alarms > most[0] || misses > most[1]) ? 1 : 0;
}

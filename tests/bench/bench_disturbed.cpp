// Whether mixings are found that come soon behind something else - a probe that came out of air,
// one that was lifted and put back, a cup that was warmed - and how good their corrected rises are.
//
// bench_disturbed [TRIALS [SEED]] [--list] [--at-most MISSED] prints one figure a line: name,
// value, unit (disturbed_rises.hpp). --at-most MISSED: exit code 1 where more are missed than that.
#include <fmt/format.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "tests/bench/bench_words.hpp"
#include "tests/bench/disturbed_rises.hpp"
#include "tests/bench/small_rises.hpp"
#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

constexpr std::uint64_t stream = 2'000'000'000;  // each trial's own is this and its number
constexpr double large = 4.0;                    // thresholds

struct Counts {
  int trials = 0, missed = 0, missed_large = 0, extra = 0;
  std::vector<double> error_K, over_u;

  void add_error(const RunInput& input, double rise_K) {
    const RiseEstimate used = analyse_run(input).rise;
    error_K.push_back(std::abs(used.value_K - rise_K));
    over_u.push_back((used.value_K - rise_K) / used.u_K);
  }
};

using AllCounts = std::array<Counts, static_cast<std::size_t>(Before::count)>;

void add_trial(AllCounts& counts, std::uint64_t seed, std::uint64_t index, bool list) {
  sim::Random random(seed, stream + index);
  const DisturbedRise rise = drawn_disturbed_rise(random);
  const sim::OneTrial& trial = rise.trial;
  bool found = false;
  int extra = 0;
  Counts& count = counts[static_cast<std::size_t>(rise.before)];
  for (const FollowedRun& run : followed_runs(readings_of(rise))) {
    const bool is_first = !found && is_run_of(trial, run.begin_s + run.input.onset_hint_s);
    found = found || is_first;
    extra += !is_first;
    if (is_first) count.add_error(run.input, trial.rise_K);
  }
  const double over_threshold = std::abs(trial.rise_K) / threshold_K(trial.noise_K, trial.step_K);
  ++count.trials;
  count.missed += !found;
  count.missed_large += !found && over_threshold > large;
  count.extra += extra;
  if (!list || (found && extra == 0)) return;
  fmt::print(
      "# {} {} {} found {}, {} others, {:.2f} x threshold: rise {:.3f} at {:.1f} s interval {} "
      "noise {:.4f} step {} pour {:.1f} release {:.1f} lag {:.1f} disturbed {:.1f} to {:.1f} s\n",
      seed, index, before_name(rise.before), found, extra, over_threshold, trial.rise_K,
      trial.foreperiod_s, trial.interval_s, trial.noise_K, trial.step_K, trial.pour_s,
      trial.release_s, trial.lag_s, rise.from_s, rise.until_s);
}

int print_counts(const AllCounts& counts) {
  int missed = 0;
  for (std::size_t kind = 0; kind < counts.size(); ++kind) {
    const std::string name = fmt::format("behind_{}.", before_name(static_cast<Before>(kind)));
    const Counts& count = counts[kind];
    fmt::print("{}trials {} 1\n", name, count.trials);
    fmt::print("{}missed {} 1\n", name, count.missed);
    fmt::print("{}missed_above_{}_thresholds {} 1\n", name, large, count.missed_large);
    fmt::print("{}extra_runs {} 1\n", name, count.extra);
    fmt::print("{}error.median {:.3g} mK\n", name, 1e3 * quantile(count.error_K, 0.5));
    fmt::print("{}within_2u {:.3g} %\n", name, within(count.over_u, 2.0));
    missed += count.missed;
  }
  return missed;
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  using namespace nestcup::bench;
  std::vector<std::string> words(argv + 1, argv + argc);
  const bool list = std::erase(words, "--list") > 0;
  const std::vector<int> most = taken_numbers(words, "--at-most", 1);
  const int trials = count_at(words, 0, 1000);
  const std::uint64_t seed = seed_at(words, 1);
  fmt::print("disturbed.seed {} 1\n", seed);
  AllCounts counts;
  for (int i = 0; i < trials; ++i) add_trial(counts, seed, static_cast<std::uint64_t>(i), list);
  const int missed = print_counts(counts);
  return !most.empty() && missed > most[0] ? 1 : 0;
}

// How near the corrected rise comes to what the readings allow, and how far its uncertainty can be
// believed: many drawn trials against the Cramer-Rao bound of each.
//
// bench_accuracy [TRIALS [SEED]] prints one figure a line: name, value, unit. The seed is printed.
#include <fmt/format.h>

#include <cmath>
#include <cstdlib>
#include <string_view>

#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

void print(std::string_view grid, std::string_view name, double value, std::string_view unit) {
  fmt::print("accuracy.{}.{} {:.6g} {}\n", grid, name, value, unit);
}

/// What all trials of a grid have in common.
struct Summary {
  std::vector<double> over_bound, over_u, u_over_bound, mixing_over_bound;
  std::vector<double> error_K, hand_K, peak_K;
  int trials = 0, missed = 0;

  void add(const TrialResult& result) {
    ++trials;
    if (!result.found) {
      ++missed;
      return;
    }
    const double error = result.error_K();
    over_bound.push_back(error / result.bounds.rise_K);
    over_u.push_back(error / result.u_K);
    u_over_bound.push_back(result.u_K / result.bounds.rise_K);
    mixing_over_bound.push_back(result.mixing_error_s / result.bounds.mixing_s);
    error_K.push_back(std::abs(error));
    if (result.hand_error_K) hand_K.push_back(std::abs(*result.hand_error_K));
    peak_K.push_back(std::abs(result.peak_error_K));
  }
};

void print_summary(std::string_view grid, const Summary& all) {
  print(grid, "trials", all.trials, "1");
  print(grid, "not_found", all.missed, "1");
  print(grid, "spread_over_bound", robust_spread(all.over_bound), "1");
  print(grid, "rms_over_bound", root_mean_square(all.over_bound), "1");
  print(grid, "u_over_bound.median", quantile(all.u_over_bound, 0.5), "1");
  print(grid, "within_u", within(all.over_u, 1.0), "%");
  print(grid, "within_2u", within(all.over_u, 2.0), "%");
  print(grid, "mixing_spread_over_bound", robust_spread(all.mixing_over_bound), "1");
  const double median_K = quantile(all.error_K, 0.5);
  print(grid, "error.median", 1e3 * median_K, "mK");
  print(grid, "hand_line_over_error.median", quantile(all.hand_K, 0.5) / median_K, "1");
  print(grid, "peak_over_error.median", quantile(all.peak_K, 0.5) / median_K, "1");
}

void run_grid(std::string_view name, Display display, RateChange change, int trials,
              std::uint64_t seed) {
  std::mt19937_64 random(seed);
  Summary summary;
  for (int i = 0; i < trials; ++i) {
    Trial trial = drawn_trial(random, display);
    trial.change = change;
    summary.add(result_of(trial, readings_of(trial, random)));
  }
  print_summary(name, summary);
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  using namespace nestcup::bench;
  const int trials = argc > 1 ? std::atoi(argv[1]) : 5000;
  const std::uint64_t seed = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 20261;
  fmt::print("accuracy.seed {} 1\n", seed);
  run_grid("fine", Display::fine, RateChange::with_pour, trials, seed);
  run_grid("coarse", Display::coarse, RateChange::with_pour, trials / 2, seed + 1);
  // The leak rate may change at once instead: what that costs.
  run_grid("fine_rate_changes_at_start", Display::fine, RateChange::at_start, trials / 5, seed + 2);
  run_grid("fine_rate_changes_at_end", Display::fine, RateChange::at_end, trials / 5, seed + 3);
  return 0;
}

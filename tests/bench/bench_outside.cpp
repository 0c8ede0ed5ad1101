// How good the corrected rise is where the fitted course is not the true one: two releases, a lid
// that warms, a room or a second vessel that drifts, one probe that is carried to and fro, stamps
// that are late unevenly, or in a bunch, converters whose steps are few and uneven, boards that
// make neighbouring readings alike, solids that dissolve, with a skin and without.
//
// bench_outside [TRIALS [SEED [GRID]]] prints one figure a line: name, value, unit. It fails where
// a grid misses what is wanted: a median error at least 4 times smaller than by hand, and +-2u that
// hold 90 % of the errors (of the added liquid's temperature, too). By hand, where one probe is
// carried: a line through the cup's readings before the pour, another through those behind it.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <string>
#include <string_view>

#include "tests/bench/outside_grid.hpp"
#include "tests/bench/trial_result.hpp"

namespace nestcup::bench {
namespace {

void print(std::string_view grid, std::string_view name, double value, std::string_view unit) {
  fmt::print("outside.{}.{} {:.4g} {}\n", grid, name, value, unit);
}

struct Summary {
  std::vector<double> error_K, u_K, over_u, relative, hand_K, peak_K, added_K, added_over_u;
  std::map<std::string, int> methods;
  int trials = 0, missed = 0, added_missed = 0;

  void add(const TrialResult& result, std::optional<double> added_degC) {
    ++trials;
    if (!result.found) {
      ++missed;
      return;
    }
    if (added_degC && !result.added_degC) ++added_missed;
    const double error = result.error_K();
    error_K.push_back(std::abs(error));
    u_K.push_back(result.u_K);
    over_u.push_back(error / result.u_K);
    relative.push_back(error / result.trial.rise_K);
    if (result.hand_error_K) hand_K.push_back(std::abs(*result.hand_error_K));
    peak_K.push_back(std::abs(result.peak_error_K));
    ++methods[result.method.substr(0, result.method.find_first_of(" ,"))];
    if (!added_degC || !result.added_degC) return;
    added_K.push_back(std::abs(result.added_degC->value - *added_degC));
    added_over_u.push_back(added_K.back() / result.added_degC->u);
  }
};

void print_summary(std::string_view grid, const Summary& all) {
  print(grid, "trials", all.trials, "1");
  print(grid, "not_found", all.missed, "1");
  print(grid, "not_found.share", 100.0 * all.missed / all.trials, "%");
  const double median_K = quantile(all.error_K, 0.5);
  print(grid, "error.median", 1e3 * median_K, "mK");
  print(grid, "error.rms", 1e3 * root_mean_square(all.error_K), "mK");
  print(grid, "error_over_rise.rms", 100.0 * root_mean_square(all.relative), "%");
  print(grid, "u.median", 1e3 * quantile(all.u_K, 0.5), "mK");
  print(grid, "hand_line_over_error.median", quantile(all.hand_K, 0.5) / median_K, "1");
  print(grid, "peak_over_error.median", quantile(all.peak_K, 0.5) / median_K, "1");
  print(grid, "within_u", within(all.over_u, 1.0), "%");
  print(grid, "within_2u", within(all.over_u, 2.0), "%");
  for (const auto& [method, count] : all.methods) print(grid, "used." + method, count, "1");
  if (all.added_K.empty()) return;
  print(grid, "added_at_mixing.not_found", all.added_missed, "1");
  print(grid, "added_at_mixing.error.median", 1e3 * quantile(all.added_K, 0.5), "mK");
  print(grid, "added_at_mixing.within_u", within(all.added_over_u, 1.0), "%");
  print(grid, "added_at_mixing.within_2u", within(all.added_over_u, 2.0), "%");
}

/// Whether the grid gives what is wanted; of a share, two standard deviations of chance are taken
/// off.
bool is_good(const Summary& all) {
  constexpr double wanted_hand = 4.0, wanted_within = 90.0;
  const auto holds = [](const std::vector<double>& over_u) {
    const auto count = static_cast<double>(over_u.size());
    const double chance = 2.0 * std::sqrt(wanted_within * (100.0 - wanted_within) / count);
    return over_u.empty() || within(over_u, 2.0) >= wanted_within - chance;
  };
  return !all.over_u.empty() && holds(all.over_u) && holds(all.added_over_u) &&
         quantile(all.hand_K, 0.5) >= wanted_hand * quantile(all.error_K, 0.5);
}

/// @return whether it is good
bool run_grid(Outside outside, int trials, std::uint64_t seed) {
  std::mt19937_64 random(seed);
  Summary summary;
  for (int i = 0; i < trials; ++i) {
    const OutsideTrial drawn = drawn_outside_trial(random, outside);
    TrialResult result = analysed(drawn.trial, drawn.cup, drawn.added);
    if (!drawn.by_hand.empty()) read_by_hand(drawn.by_hand, result);
    summary.add(result, drawn.added_degC);
  }
  print_summary(outside_name(outside), summary);
  return is_good(summary);
}

}  // namespace
}  // namespace nestcup::bench

int main(int argc, char** argv) {
  using namespace nestcup::bench;
  const int trials = argc > 1 ? std::atoi(argv[1]) : 1000;
  std::uint64_t seed = argc > 2 ? std::strtoull(argv[2], nullptr, 10) : 20262;
  const std::string_view only = argc > 3 ? argv[3] : "";
  fmt::print("outside.seed {} 1\n", seed);
  bool good =
      only.empty() || std::ranges::find(every_outside, only, outside_name) != every_outside.end();
  if (!good) fmt::print(stderr, "bench_outside: there is no grid {}\n", only);
  for (const Outside outside : every_outside) {
    const std::string_view name = outside_name(outside);
    if ((only.empty() || only == name) && !run_grid(outside, trials, seed)) {
      fmt::print(stderr, "bench_outside: {} misses what is wanted\n", name);
      good = false;
    }
    ++seed;
  }
  return good ? 0 : 1;
}

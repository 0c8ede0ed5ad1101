// A planned trial rehearsed on the simulated bench: how far off is what the analysis finds?
#pragma once

#include <cstdint>
#include <vector>

#include "core/chemistry/expected_rise.hpp"
#include "tools/forecast/bench_plan.hpp"

namespace nestcup::forecast {

/// Standard deviations about the truth over the rehearsed runs, K (`spread_about_zero`). Errors of
/// the probes' scale and offset are not in them.
struct RunErrors {
  int runs = 0;
  int unusable = 0;  ///< of these: no rise could be told
  int far_off = 0;   ///< of these: off by more than five times rise_K
  double rise_K = 0.0, cup_K = 0.0;
  double added_K = 0.0;      ///< own of each run
  double added_lag_K = 0.0;  ///< in all runs with the same probe, since its lag is the same
  /// The same as the analysis states it: what will stand in the records.
  double stated_rise_K = 0.0, stated_cup_K = 0.0, stated_added_K = 0.0;
};

/// How long what is put in takes to set its heat free, s: liquids 1, hot solids 3, salts and oxides
/// 8, metals that give gas 14, ice 22 (common practice); runs differ from it by up to a quarter.
[[nodiscard]] double usual_release_s(const SheetTrial& trial);

/// As many runs as tell a standard deviation within a tenth; fewer where the display hides its
/// noise, which the analysis takes a second for.
[[nodiscard]] int enough_runs(const BenchPlan& bench);

/// Simulates and analyses `runs` runs of the trial. Each has its own noise, leak (2e-4 to 5e-4 per
/// s), lag of the probes, pour (of liquids 1.5 to 3 s, of solids 1 to 3 s), release, foreperiod
/// (80 to 120 s), and a room up to 0.7 K from the cup. The same call gives the same figures.
[[nodiscard]] RunErrors rehearsed(const ExpectedTrial& expected, const SheetTrial& trial,
                                  const BenchPlan& bench, int runs, std::uint64_t seed = 1);

/// Root mean square of errors, where those beyond three times the range that holds 68.27 % count as
/// three times it: the standard deviation of what is normal, that a few far off do not make
/// useless. 0 for none.
[[nodiscard]] double spread_about_zero(std::vector<double> errors);

/// How long the main period is: until a fifth of the scatter is left of the approach, s.
[[nodiscard]] double main_period_s(double rise_K, double slowest_s, const BenchPlan& bench);

}  // namespace nestcup::forecast

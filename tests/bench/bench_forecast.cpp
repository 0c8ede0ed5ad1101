// bench_forecast [DAYS [SEED]] [--followed] [--readings]: what nestcup forecast says of the three
// example sheets, beside days that are simulated independently of it: the rise, the uncertainty of
// one run's rise, and that of the results, with probes as bought and with calibrated ones. Fails
// where a rise lies outside of its uncertainty, or an uncertainty is off from the scatter by more
// than a fifth. --followed: runs are looked for as the daemon does it. --readings: also with probes
// that have neither offset nor scale, which no bench has; that is printed alone.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "tests/bench/forecast_days.hpp"
#include "tools/forecast/forecast.hpp"

namespace {

using nestcup::bench::DayErrors;
using nestcup::bench::DayTruth;
using nestcup::forecast::Forecast;

constexpr double most_off = 0.20;

/// Ratio of what was forecast to what was seen, and whether it is within a fifth.
struct Ratio {
  std::string text;
  bool good = false;
};

/// A few runs that are far off (METHOD.md of core/chemistry, section 12) count as the forecast
/// counts them; how many they are is printed.
Ratio ratio(double forecast, const std::vector<double>& errors) {
  const double seen = nestcup::forecast::spread_about_zero(errors);
  const double value = forecast / seen;
  return {fmt::format("{:>10.3g}{:>10.3g}{:>7.2f}", forecast, seen, value),
          std::abs(value - 1.0) <= most_off};
}

/// Runs whose rise is off by more than five times the usual.
long far_off(const std::vector<double>& errors) {
  const double usual = nestcup::forecast::spread_about_zero(errors);
  return std::count_if(errors.begin(), errors.end(),
                       [&](double error) { return std::abs(error) > 5.0 * usual; });
}

bool print_trial(const Forecast& forecast, const DayErrors& days, std::size_t trial) {
  const auto& expected = *forecast.rises.trials[trial];
  const auto& made = forecast.trials[trial];
  const double apart_K = days.mean_rise_K[trial] - expected.rise_K.value();
  const Ratio rise = ratio(made.u_rise_K, days.rise_K[trial]);
  const Ratio result = ratio(made.result->u(), days.result[trial]);
  const bool near = std::abs(apart_K) <= expected.rise_K.u();
  fmt::print("{:<11}{:>9.3f}{:>9.3f}{:>8.3f}{:>2}{}{:>2}{:>5}{}{:>2}\n", expected.name,
             days.mean_rise_K[trial], expected.rise_K.value(), expected.rise_K.u(), near ? "" : "!",
             rise.text, rise.good ? "" : "!", far_off(days.rise_K[trial]), result.text,
             result.good ? "" : "!");
  return near && rise.good && result.good;
}

bool print_day(const DayTruth& day, double tolerance_K, int count, std::uint64_t seed,
               bool followed) {
  nestcup::bench::DayProbes probes;
  probes.tolerance_K = tolerance_K;
  const DayErrors days = nestcup::bench::lived_days(day, probes, count, seed, followed);
  nestcup::forecast::Plan plan;
  plan.sheet = days.sheet;
  plan.bench.cup_tolerance_K = plan.bench.added_tolerance_K = tolerance_K;
  const Forecast forecast =
      nestcup::forecast::make_forecast(plan, std::nullopt, [](const std::string&) {});
  fmt::print("\n{}, probes within {} K, {} days, {} runs lost\n", day.scenario, tolerance_K, count,
             days.lost);
  fmt::print("{:<11}{:>9}{:>9}{:>8}{:>2}{:>10}{:>10}{:>7}{:>2}{:>5}{:>10}{:>10}{:>7}\n", "trial",
             "rise/K", "forecast", "u", "", "u(rise)/K", "scatter", "ratio", "", "far", "u(result)",
             "scatter", "ratio");
  bool good = true;
  for (std::size_t trial = 0; trial < day.trials.size(); ++trial) {
    good = print_trial(forecast, days, trial) && good;
  }
  if (days.cycle.empty()) return good;
  const Ratio cycle = ratio(forecast.cycle.result->u(), days.cycle);
  fmt::print("{:<73}{}{:>2}\n", "cycle", cycle.text, cycle.good ? "" : "!");
  return good && cycle.good;
}

struct Words {
  int days = 400;
  std::uint64_t seed = 11;
  bool followed = false, readings = false;
};

Words read_words(int count, char** words) {
  Words read;
  int numbers = 0;
  for (int i = 1; i < count; ++i) {
    const std::string word = words[i];
    if (word == "--followed") {
      read.followed = true;
    } else if (word == "--readings") {
      read.readings = true;
    } else if (numbers++ == 0) {
      read.days = std::atoi(words[i]);
    } else {
      read.seed = std::strtoull(words[i], nullptr, 10);
    }
  }
  return read;
}

bool print_all(double tolerance_K, const Words& words) {
  bool good = true;
  for (const DayTruth& day : nestcup::bench::day_truths()) {
    good = print_day(day, tolerance_K, words.days, words.seed, words.followed) && good;
    std::fflush(stdout);
  }
  return good;
}

}  // namespace

int main(int count, char** words) {
  const Words read = read_words(count, words);
  fmt::print("seed {}; ! marks what is off: a rise by more than its u, a u by more than {:.0f} %\n",
             read.seed, 100.0 * most_off);
  const bool as_bought = print_all(0.2, read);
  const bool calibrated = print_all(0.03, read);
  if (read.readings) print_all(0.0, read);
  return as_bought && calibrated ? 0 : 1;
}

#include "core/classroom/leak_beside.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/classroom/class_quantity.hpp"
#include "core/classroom/robust.hpp"

namespace nestcup {

namespace {

constexpr std::size_t least_benches_of_trial = 3;
constexpr std::size_t least_benches = 4;
/// Cups of one make differ by some such share (a judgement).
constexpr double least_spread = 0.1;

/// What is usual in one trial.
struct Usual {
  std::size_t benches = 0;
  double rate_per_s = 0.0;
  std::optional<double> rest_degC;
};

/// The median over benches of the medians over their runs: one bench counts once.
std::optional<double> median_of_benches(std::span<const ClassBench> benches,
                                        const std::string& trial,
                                        std::optional<Uncertain> ClassRun::*figure,
                                        std::size_t& count) {
  std::vector<double> medians;
  for (const ClassBench& bench : benches) {
    std::vector<double> values;
    for (const ClassRun& run : bench.runs) {
      if (run.facts.trial == trial && run.*figure) values.push_back((run.*figure)->value);
    }
    if (!values.empty()) medians.push_back(median_of(values));
  }
  count = medians.size();
  if (medians.empty()) return std::nullopt;
  return median_of(medians);
}

std::map<std::string, Usual> usual_by_trial(std::span<const ClassBench> benches) {
  std::map<std::string, Usual> usual;
  for (const ClassBench& bench : benches) {
    for (const ClassRun& run : bench.runs) usual[run.facts.trial];
  }
  for (auto& [trial, figures] : usual) {
    std::size_t ignored = 0;
    figures.rate_per_s =
        median_of_benches(benches, trial, &ClassRun::leak_per_s, figures.benches).value_or(0.0);
    figures.rest_degC = median_of_benches(benches, trial, &ClassRun::rest_degC, ignored);
  }
  return usual;
}

/// A run's rate over the usual one.
struct Ratio {
  const ClassRun* run = nullptr;
  const Usual* usual = nullptr;
  double log_ratio = 0.0;
  double u = 0.0;  ///< of the logarithm
};

std::vector<Ratio> ratios_of(const ClassBench& bench, const std::map<std::string, Usual>& usual) {
  std::vector<Ratio> ratios;
  for (const ClassRun& run : bench.runs) {
    const Usual& of_trial = usual.at(run.facts.trial);
    if (of_trial.benches < least_benches_of_trial || !run.leak_per_s) continue;
    if (!(run.leak_per_s->value > 0.0) || !(of_trial.rate_per_s > 0.0)) continue;
    ratios.push_back({&run, &of_trial, std::log(run.leak_per_s->value / of_trial.rate_per_s),
                      run.leak_per_s->u / run.leak_per_s->value});
  }
  return ratios;
}

FarLeak far_leak(const Ratio& ratio) {
  FarLeak far{ratio.run->label, ratio.run->facts.trial, ratio.run->leak_per_s->value,
              std::exp(ratio.log_ratio), std::nullopt};
  if (ratio.run->rest_degC && ratio.usual->rest_degC) {
    far.rest_above_K = ratio.run->rest_degC->value - *ratio.usual->rest_degC;
  }
  return far;
}

}  // namespace

std::vector<LeakBeside> leaks_beside(std::span<const ClassBench> class_of_benches) {
  const auto usual = usual_by_trial(class_of_benches);
  std::vector<std::vector<Ratio>> by_bench;
  std::vector<double> all;
  for (const ClassBench& bench : class_of_benches) {
    by_bench.push_back(ratios_of(bench, usual));
    for (const Ratio& ratio : by_bench.back()) all.push_back(ratio.log_ratio);
  }
  const double spread = std::max(least_spread, all.size() < 2 ? 0.0 : algorithm_a(all).sd);
  std::vector<LeakBeside> found;
  for (std::size_t bench = 0; bench < by_bench.size(); ++bench) {
    if (by_bench[bench].empty()) continue;
    LeakBeside beside{bench, by_bench[bench].size(), 1.0, {}};
    std::vector<double> own;
    for (const Ratio& ratio : by_bench[bench]) {
      own.push_back(ratio.log_ratio);
      const bool is_far = ratio.log_ratio > std::log(far_leak_ratio) &&
                          ratio.log_ratio > farthest_z * std::hypot(spread, ratio.u);
      if (is_far && class_of_benches.size() >= least_benches) beside.far.push_back(far_leak(ratio));
    }
    beside.ratio = std::exp(median_of(own));
    found.push_back(std::move(beside));
  }
  return found;
}

}  // namespace nestcup

#include "core/classroom/leak_beside.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/classroom/class_quantity.hpp"
#include "core/classroom/robust.hpp"

namespace nestcup {

namespace {

constexpr std::size_t least_benches_of_trial = 3;
constexpr std::size_t least_benches_for_leak = 4;
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

double spread_of(const std::vector<double>& values) {
  return std::max(least_spread, values.size() < 2 ? 0.0 : algorithm_a(values).sd);
}

/// The median of a bench's log ratios.
double log_ratio_of(const std::vector<Ratio>& ratios) {
  std::vector<double> own;
  for (const Ratio& ratio : ratios) own.push_back(ratio.log_ratio);
  return median_of(own);
}

/// How much lower than the others a bench drifts to, K; 0 where that is not known.
double lower_K(const std::vector<Ratio>& ratios) {
  std::vector<double> lower;
  for (const Ratio& ratio : ratios) {
    if (const auto above_K = far_leak(ratio).rest_above_K) lower.push_back(-*above_K);
  }
  return lower.empty() ? 0.0 : median_of(lower);
}

bool is_far_together(const std::vector<Ratio>& ratios, double spread_of_benches) {
  constexpr double clearly_lower_K = 1.5, least_ratio = 1.4, least_z = 3.0;
  const double log_ratio = log_ratio_of(ratios);
  if (log_ratio > std::log(far_leak_ratio) && log_ratio > farthest_z * spread_of_benches) {
    return true;
  }
  return log_ratio > std::log(least_ratio) && log_ratio > least_z * spread_of_benches &&
         lower_K(ratios) > clearly_lower_K;
}

/// Spreads of the class: of runs and of benches.
struct Spreads {
  double runs = least_spread, benches = least_spread;
};

LeakBeside beside_others(std::size_t bench, const std::vector<Ratio>& ratios,
                         const Spreads& spreads) {
  constexpr double clearly_more = 1.3;
  LeakBeside beside{bench, ratios.size(), std::exp(log_ratio_of(ratios)), {}};
  const bool together = is_far_together(ratios, spreads.benches);
  for (const Ratio& ratio : ratios) {
    const bool alone = ratio.log_ratio > std::log(far_leak_ratio) &&
                       ratio.log_ratio > farthest_z * std::hypot(spreads.runs, ratio.u);
    if (alone || (together && ratio.log_ratio > std::log(clearly_more))) {
      beside.far.push_back(far_leak(ratio));
    }
  }
  return beside;
}

}  // namespace

std::vector<LeakBeside> leaks_beside(std::span<const ClassBench> class_of_benches) {
  const auto usual = usual_by_trial(class_of_benches);
  std::vector<std::vector<Ratio>> by_bench;
  std::vector<double> of_runs, of_benches;
  for (const ClassBench& bench : class_of_benches) {
    by_bench.push_back(ratios_of(bench, usual));
    for (const Ratio& ratio : by_bench.back()) of_runs.push_back(ratio.log_ratio);
    if (!by_bench.back().empty()) of_benches.push_back(log_ratio_of(by_bench.back()));
  }
  const Spreads spreads{spread_of(of_runs), spread_of(of_benches)};
  std::vector<LeakBeside> found;
  for (std::size_t bench = 0; bench < by_bench.size(); ++bench) {
    if (by_bench[bench].empty()) continue;
    found.push_back(beside_others(bench, by_bench[bench], spreads));
    if (class_of_benches.size() < least_benches_for_leak) found.back().far.clear();
  }
  return found;
}

}  // namespace nestcup

#include "tests/bench/trial_result.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "core/analysis/rise/hand_line.hpp"

namespace nestcup::bench {
namespace {

double peak_error_K(const Trial& trial, CurveView curve) {
  const CurveView before = between(curve, 0.0, trial.mixing_s - 2.0);
  const CurveView behind = between(curve, trial.mixing_s, INFINITY);
  const auto colder = [](const Point& a, const Point& b) {
    return a.temperature_degC < b.temperature_degC;
  };
  const auto extremum = trial.rise_K > 0.0 ? std::max_element(behind.begin(), behind.end(), colder)
                                           : std::min_element(behind.begin(), behind.end(), colder);
  return extremum->temperature_degC - before.back().temperature_degC - trial.rise_K;
}

}  // namespace

std::vector<FollowedRun> followed_runs(CurveView cup, CurveView added) {
  std::vector<ProbeRole> roles{ProbeRole::cup};
  if (!added.empty()) roles.push_back(ProbeRole::added);
  RunFollower follower({}, roles);
  std::vector<FollowedRun> runs;
  const auto take = [&] {
    while (const auto run = follower.take_finished()) {
      runs.push_back({run_input(*run, roles), to_s(run->readings.front().time_us)});
    }
  };
  const auto feed = [&](std::uint16_t probe, const Point& point) {
    follower.feed({probe, to_us(point.time_s), point.temperature_degC, point.temperature_degC});
    take();
  };
  for (std::size_t i = 0; i < cup.size(); ++i) {
    feed(0, cup[i]);
    if (i < added.size()) feed(1, added[i]);
  }
  follower.end_of_data();
  take();
  return runs;
}

TrialResult analysed(const Trial& trial, CurveView cup, CurveView added) {
  TrialResult result;
  result.trial = trial;
  if (const auto hand_K = hand_line_K(cup, trial.mixing_s)) {
    result.hand_error_K = *hand_K - trial.rise_K;
  }
  result.peak_error_K = peak_error_K(trial, cup);
  const std::vector<FollowedRun> runs = followed_runs(cup, added);
  if (runs.size() != 1) return result;
  const auto begin = std::chrono::steady_clock::now();
  const RunAnalysis run = analyse_run(runs[0].input);
  result.analysis_s =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  if (!run.usable()) return result;
  result.found = true;
  result.rise_K = run.rise.value_K;
  result.u_K = run.rise.u_K;
  result.method = run.rise.method;
  result.added_degC = run.added_at_mixing_degC;
  result.mixing_error_s = run.mixing_time_s.value + runs[0].begin_s - trial.mixing_s;
  return result;
}

void read_by_hand(CurveView in_cup, TrialResult& result) {
  const Trial& trial = result.trial;
  const auto hand_K = hand_lines_K(in_cup, trial.mixing_s);
  result.hand_error_K = hand_K ? std::optional(*hand_K - trial.rise_K) : std::nullopt;
  result.peak_error_K = peak_error_K(trial, in_cup);
}

TrialResult result_of(const Trial& trial, CurveView cup) {
  TrialResult result = analysed(trial, cup);
  result.bounds = bounds_of(trial);
  return result;
}

double within(const std::vector<double>& over_u, double factor) {
  const auto count = std::count_if(over_u.begin(), over_u.end(),
                                   [&](double ratio) { return std::abs(ratio) <= factor; });
  return 100.0 * static_cast<double>(count) / static_cast<double>(over_u.size());
}

double quantile(std::vector<double> values, double share) {
  if (values.empty()) return 0.0;
  const auto place = static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), values.begin() + place, values.end());
  return values[static_cast<std::size_t>(place)];
}

double robust_spread(std::vector<double> values) {
  return 0.5 * (quantile(values, 0.8413) - quantile(values, 0.1587));
}

double root_mean_square(const std::vector<double>& values) {
  double squares = 0.0;
  for (const double value : values) squares += value * value;
  return values.empty() ? 0.0 : std::sqrt(squares / static_cast<double>(values.size()));
}

}  // namespace nestcup::bench

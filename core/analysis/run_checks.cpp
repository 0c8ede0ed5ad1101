#include "core/analysis/run_checks.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr double short_foreperiod_s = 45.0;
constexpr double dropped_foreperiod_s = 15.0;
constexpr double slow_mixing_s = 150.0;
/// Lidded foam cups lie below 7e-4 per s; twice that means that something stands open.
constexpr double high_leak_per_s = 1.4e-3;
constexpr std::size_t many_knocks = 3;
constexpr double slow_probe_s = 15.0;
constexpr double room_change_K = 0.5;

void check_periods(const RunInput& input, const RunAnalysis& run, std::vector<Finding>& findings) {
  const double fore_s = run.fore.end_s - run.fore.start_s;
  if (fore_s < short_foreperiod_s) {
    findings.push_back({"short-foreperiod", Severity::warning, {{"length_s", fore_s}}});
  }
  const double dropped_s = run.fore.start_s - input.cup.front().time_s;
  if (dropped_s > dropped_foreperiod_s) {
    findings.push_back({"foreperiod-not-steady", Severity::note, {{"dropped_s", dropped_s}}});
  }
  const double after_s = run.after.end_s - run.after.start_s;
  if (after_s < 0.6 * input.after_period_s) {
    findings.push_back({"short-after-period", Severity::warning, {{"length_s", after_s}}});
  }
  const double main_s = run.main.end_s - run.main.start_s;
  if (main_s > slow_mixing_s) {
    findings.push_back({"mixing-slow", Severity::warning, {{"length_s", main_s}}});
  }
}

void check_gaps(const RunInput& input, const RunAnalysis& run, std::vector<Finding>& findings) {
  const double wide_s = std::max(5.0, 4.0 * median_interval_s(input.cup));
  for (std::size_t i = 1; i < input.cup.size(); ++i) {
    const double from_s = input.cup[i - 1].time_s, to_s = input.cup[i].time_s;
    if (to_s - from_s <= wide_s) continue;
    const bool at_mixing = to_s > run.main.start_s - 2.0 && from_s < run.main.start_s + 20.0;
    if (at_mixing) {
      findings.push_back({"gap-at-mixing", Severity::warning, {{"gap_s", to_s - from_s}}});
    } else {
      findings.push_back({"gap", Severity::note, {{"gap_s", to_s - from_s}, {"from_s", from_s}}});
    }
  }
}

void check_result(const RunInput& input, const RunAnalysis& run, std::vector<Finding>& findings) {
  if (std::abs(run.rise.value_K) < 10.0 * run.rise.u_K) {
    findings.push_back(
        {"rise-small", Severity::warning, {{"rise_K", run.rise.value_K}, {"u_K", run.rise.u_K}}});
  }
  if (run.leak) {
    const double rate = run.leak->rate_per_s();
    const double u_log = std::sqrt(run.leak->covariance(2, 2));
    if (rate * std::exp(-2.0 * u_log) > high_leak_per_s) {
      findings.push_back({"leak-unusual", Severity::warning, {{"rate_per_s", rate}}});
    }
  }
  if (input.mark_s && run.found_by != FoundBy::mark) {
    const double apart_s = std::abs(*input.mark_s - run.mixing_time_s.value);
    findings.push_back({"mark-contradicts-trace", Severity::warning, {{"apart_s", apart_s}}});
  }
}

/// Knocks, a probe that follows slowly, and readings that no even mixing explains.
void check_probe(const RunPeriods& periods, const RiseChoice& choice,
                 std::vector<Finding>& findings) {
  if (periods.cup.knocks >= many_knocks) {
    findings.push_back({"knocks",
                        Severity::note,
                        {{"knocks", static_cast<double>(periods.cup.knocks)},
                         {"readings", static_cast<double>(periods.cup.readings)}}});
  }
  const course::Vector& p = choice.course.parameters;
  // Which of the two delays is the probe's does not show; a slow probe makes both of them long.
  const double faster_s = std::exp(std::min(p(course::log_lag), p(course::log_release)));
  if (!choice.lack.shows() && faster_s > slow_probe_s) {
    findings.push_back({"probe-slow", Severity::warning, {{"delay_s", faster_s}}});
  }
  if (choice.lack.shows()) {
    findings.push_back(
        {"model-does-not-fit", Severity::note, {{"surplus", choice.lack.surplus()}}});
  }
}

void check_surroundings(const RunInput& input, std::vector<Finding>& findings) {
  if (input.room.size() < 6) return;
  const std::size_t part = input.room.size() / 3;
  const auto mean = [](CurveView curve) {
    double sum = 0.0;
    for (const Point& point : curve) sum += point.temperature_degC;
    return sum / static_cast<double>(curve.size());
  };
  const CurveView room = input.room;
  const double change_K = mean(room.last(part)) - mean(room.first(part));
  if (std::abs(change_K) > room_change_K) {
    findings.push_back({"room-changed", Severity::warning, {{"change_K", change_K}}});
  }
}

}  // namespace

std::vector<Finding> check_run(const RunPeriods& periods, const RiseChoice& choice,
                               const RunAnalysis& analysis) {
  const RunInput& input = periods.input;
  std::vector<Finding> findings;
  if (!periods.settled) findings.push_back({"never-settled", Severity::warning, {}});
  check_periods(input, analysis, findings);
  check_gaps(input, analysis, findings);
  check_result(input, analysis, findings);
  check_probe(periods, choice, findings);
  check_surroundings(input, findings);
  if (input.cut_by_next) findings.push_back({"cut-short", Severity::note, {}});
  return findings;
}

}  // namespace nestcup

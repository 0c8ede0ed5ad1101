#include "core/analysis/run/run_checks.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/quiet_wander.hpp"
#include "core/analysis/readings/same_readings.hpp"
#include "core/analysis/run/probe_agreement.hpp"
#include "core/analysis/run/second_pour.hpp"

namespace nestcup {
namespace {

/// Ninety readings of 10 mK over 45 s tell the drift to 0.08 mK/s: 2 mK over half a minute of main
/// period, as much as all the rest of a good trial. Half the length makes it three times as much.
constexpr double short_foreperiod_s = 45.0;
/// Less than this part of the after period asked for is a run that was broken off.
constexpr double short_after_share = 0.6;
/// What lies off the steady part by less is the wander of contents, or scatter.
constexpr double unsteady_foreperiod_K = 0.02;
/// With a steady minute left nothing is lost: the beginning may be the probe on its way.
constexpr double enough_foreperiod_s = 60.0;
/// A solid that takes longer until 99 % of its heat is there dissolves in 30 s or more to 1/e.
constexpr double slow_mixing_s = 150.0;
constexpr double slow_mixing_rest = 0.01;
/// Lidded foam cups lie below 7e-4 per s; twice that means that something stands open.
constexpr double high_leak_per_s = 1.4e-3;
/// A rise that is known to less than a tenth gives no enthalpy worth having.
constexpr double small_rise = 10.0;
/// Readings that do not come for so long, and for so many intervals, are not just late.
constexpr double wide_gap_s = 2.5, wide_gap_intervals = 4.0;
/// Just before the pour and in its first seconds a silence makes the mixing time uncertain.
constexpr double just_before_s = 2.0, just_behind_s = 20.0;
/// One or two lone readings are a bad contact once; more of them have a cause.
// Where the digits do not hide the noise its estimate may still be too large by a third.
constexpr double least_share_of_noise = 0.7;
constexpr std::size_t many_knocks = 3;
/// Bare beads have 1 to 2 s in stirred liquid, sheathed probes 5 to 10 s.
constexpr double slow_probe_s = 15.0;
/// At a usual leak of 3e-4 per s half a kelvin shifts the drift by 0.15 mK/s, 9 mK in a minute of
/// main period; rooms with closed windows stay within a tenth of a kelvin.
constexpr double room_change_K = 0.5;
/// Probes of different lag in a drifting cup differ by some hundredths of a kelvin.
constexpr double probes_apart_K = 0.03;
constexpr double significant = 3.0;
/// What may be left of an approach where the course counts as quiet.
constexpr double little_K = 3e-3;

/// From when on less than `rest_K` of the approach to the slow drift is still to come, by the
/// fitted course.
double approach_ends_s(CurveView curve, const CourseFit& fit, double rest_K) {
  const MixingCourse course = fit.course();
  for (auto point = curve.rbegin(); point != curve.rend(); ++point) {
    if (point->time_s <= fit.mixing_s()) break;
    const double outstanding_K = course.at(point->time_s) - course.after_at(point->time_s);
    if (std::abs(outstanding_K) > rest_K) return point->time_s;
  }
  return fit.mixing_s();
}

void check_periods(const RunPeriods& periods, const RiseChoice& choice, const RunAnalysis& run,
                   std::vector<Finding>& findings) {
  const RunInput& input = periods.input;
  const double fore_s = run.fore.end_s - run.fore.start_s;
  if (fore_s < short_foreperiod_s) {
    findings.push_back({"short-foreperiod", Severity::warning, {{"length_s", fore_s}}});
  }
  if (periods.unsteady_K > unsteady_foreperiod_K && fore_s < enough_foreperiod_s) {
    const double dropped_s = run.fore.start_s - input.cup.front().time_s;
    findings.push_back({"foreperiod-not-steady",
                        Severity::note,
                        {{"dropped_s", dropped_s}, {"off_K", periods.unsteady_K}}});
  }
  const double after_s = run.after.end_s - run.after.start_s;
  if (after_s < short_after_share * input.after_period_s) {
    findings.push_back({"short-after-period", Severity::warning, {{"length_s", after_s}}});
  }
  const double rest_K = slow_mixing_rest * std::abs(choice.course.rise_K());
  const CourseFit release = without_lid(choice.course, choice.slow);
  const double released_s = approach_ends_s(periods.curve(), release, rest_K) - release.mixing_s();
  if (released_s > slow_mixing_s && !choice.lack.shows() && !input.heater) {
    findings.push_back({"mixing-slow", Severity::warning, {{"length_s", released_s}}});
  }
}

void check_gaps(const RunInput& input, const RunAnalysis& run, std::vector<Finding>& findings) {
  const double wide_s = std::max(wide_gap_s, wide_gap_intervals * median_interval_s(input.cup));
  for (std::size_t i = 1; i < input.cup.size(); ++i) {
    const double from_s = input.cup[i - 1].time_s, to_s = input.cup[i].time_s;
    if (to_s - from_s <= wide_s) continue;
    // The one probe was on its way.
    if (input.away && from_s <= input.away->start_s && to_s >= input.away->end_s) continue;
    const bool at_mixing =
        to_s > run.main.start_s - just_before_s && from_s < run.main.start_s + just_behind_s;
    if (at_mixing) {
      findings.push_back({"gap-at-mixing", Severity::warning, {{"gap_s", to_s - from_s}}});
    } else {
      findings.push_back({"gap", Severity::note, {{"gap_s", to_s - from_s}, {"from_s", from_s}}});
    }
  }
}

void check_late(const LateReadings& late, std::vector<Finding>& findings) {
  if (late.longest_s == 0.0) return;
  findings.push_back({"readings-late",
                      Severity::note,
                      {{"readings", static_cast<double>(late.put_back + late.left_out)},
                       {"held_s", late.longest_s},
                       {"from_s", late.from_s}}});
}

void check_alike(std::size_t one_in, std::vector<Finding>& findings) {
  if (one_in == 1) return;
  findings.push_back({"readings-alike", Severity::note, {{"one_in", static_cast<double>(one_in)}}});
}

void check_frozen(const RunPeriods& periods, const Noise& fitted, std::vector<Finding>& findings) {
  const CurveView cup = periods.input.cup;
  // A temperature on the edge between two digits makes them change as much noise would; the fit to
  // all readings is not misled.
  const Noise noise{std::min(periods.noise.sd_K, fitted.sd_K), periods.noise.step_K};
  // Where the digits hide the noise its estimate may be several times too large.
  if (noise.is_coarse()) return;
  const double same = same_probability(least_share_of_noise * noise.sd_K, noise.step_K);
  std::size_t longest = 0, begin = 0;
  for (std::size_t first = 0, i = 1; i < cup.size(); ++i) {
    if (cup[i].temperature_degC != cup[i - 1].temperature_degC) first = i;
    if (i - first > longest) {
      longest = i - first;
      begin = first;
    }
  }
  if (!is_frozen(longest, same)) return;
  const double from_s = cup[begin].time_s;
  findings.push_back({"frozen-source",
                      Severity::warning,
                      {{"from_s", from_s}, {"for_s", cup[begin + longest].time_s - from_s}}});
}

void check_result(const RunPeriods& periods, const RunAnalysis& run,
                  std::vector<Finding>& findings) {
  const RunInput& input = periods.input;
  if (std::abs(run.rise.value_K) < small_rise * run.rise.u_K) {
    findings.push_back(
        {"rise-small", Severity::warning, {{"rise_K", run.rise.value_K}, {"u_K", run.rise.u_K}}});
  }
  if (run.leak && periods.settled && periods.leak_known()) {
    const double rate = run.leak->rate_per_s();
    const double u_log = std::sqrt(run.leak->covariance(2, 2));
    if (rate * std::exp(-2.0 * u_log) > high_leak_per_s) {
      findings.push_back({"leak-unusual", Severity::warning, {{"rate_per_s", rate}}});
    }
  }
  if (input.mark_s && run.found_by == FoundBy::detector) {
    const double apart_s = std::abs(*input.mark_s - run.mixing_time_s.value);
    findings.push_back({"mark-contradicts-trace", Severity::warning, {{"apart_s", apart_s}}});
  }
}

/// The wander of the quiet stretches where it shows twice, before and behind the mixing or in both
/// halves of the after period: one stretch alone may hold a draught or the end of a slow approach.
std::optional<double> wander_K(const RunPeriods& periods, const RiseChoice& choice) {
  // A second, slow release is too slow to wander, and may be nothing but the wander's first swing.
  CourseFit quick = choice.course;
  quick.form = course::without_slow(quick.form);
  const double rest_K = std::max(little_K, 0.2 * periods.noise.total_K());
  const double quiet_s = approach_ends_s(periods.curve(), quick, rest_K);
  const double end_s = std::nextafter(periods.curve().back().time_s, INFINITY);
  const double half_s = 0.5 * (quiet_s + end_s);
  const auto shown_in = [&](CurveView stretch) {
    const auto wander = wander_in(stretch, choice.course.noise);
    return wander && wander->shows() ? wander->sd_K : 0.0;
  };
  const double before_K = shown_in(periods.fore);
  const double first_K = shown_in(between(periods.curve(), quiet_s, half_s));
  const double last_K = shown_in(between(periods.curve(), half_s, end_s));
  const double behind_K =
      std::max({first_K, last_K, shown_in(between(periods.curve(), quiet_s, end_s))});
  if (first_K > 0.0 && last_K > 0.0) return behind_K;
  if (before_K > 0.0 && behind_K > 0.0) return std::max(before_K, behind_K);
  return std::nullopt;
}

/// What the course of one mixing in stirred contents does not explain, from the plainest cause on.
void check_course(const RunPeriods& periods, const RiseChoice& choice,
                  std::vector<Finding>& findings) {
  if (const auto wander = wander_K(periods, choice)) {
    findings.push_back({"stirring-off", Severity::warning, {{"wander_K", *wander}}});
    return;
  }
  if (!choice.lack.shows()) return;
  const CurveView behind = between(periods.curve(), periods.mixing_s, INFINITY);
  const auto second = second_pour(behind, choice.leak, periods.noise);
  if (second && !periods.input.heater) {
    findings.push_back(
        {"second-mixing",
         Severity::warning,
         {{"after_s", second->time_s - periods.mixing_s}, {"step_K", second->step_K}}});
    return;
  }
  findings.push_back({"model-does-not-fit", Severity::note, {{"surplus", choice.lack.surplus()}}});
}

/// Knocks, a probe that follows slowly, and one that shows something else than the other.
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
  const auto apart = probe_offset(periods);
  if (apart && std::abs(apart->offset_K) > std::max(probes_apart_K, significant * apart->u_K)) {
    findings.push_back({"probes-disagree", Severity::warning, {{"offset_K", apart->offset_K}}});
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

void check_calibration(const RunInput& input, std::vector<Finding>& findings) {
  const auto& age = input.calibration_age;
  if (!age || age->age_days <= age->valid_days) return;
  findings.push_back({"calibration-old",
                      Severity::note,
                      {{"age_days", age->age_days}, {"valid_days", age->valid_days}}});
}

}  // namespace

std::vector<Finding> check_run(const RunPeriods& periods, const RiseChoice& choice,
                               const RunAnalysis& analysis) {
  const RunInput& input = periods.input;
  std::vector<Finding> findings;
  if (!periods.settled) findings.push_back({"never-settled", Severity::warning, {}});
  check_periods(periods, choice, analysis, findings);
  check_gaps(input, analysis, findings);
  check_late(input.late, findings);
  check_alike(input.one_in, findings);
  check_frozen(periods, choice.course.noise, findings);
  check_result(periods, analysis, findings);
  check_course(periods, choice, findings);
  check_probe(periods, choice, findings);
  check_surroundings(input, findings);
  check_calibration(input, findings);
  if (input.cut_by_next) findings.push_back({"cut-short", Severity::note, {}});
  return findings;
}

}  // namespace nestcup

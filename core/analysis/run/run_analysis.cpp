#include "core/analysis/run/run_analysis.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/approach.hpp"
#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/run/rise_choice.hpp"
#include "core/analysis/run/run_checks.hpp"

namespace nestcup {
namespace {

/// By how much a vessel that relaxes towards the room, `away_K` away from it, bends away from its
/// line within `ahead_s`.
double bend_K(double away_K, double slope_K_per_s, double ahead_s) {
  const double x = slope_K_per_s * ahead_s / away_K;
  // A vessel as warm as the room, or one that drifts away from it, has no such course.
  const bool relaxes = std::abs(away_K) > 1.0 && x < 0.0;
  return relaxes ? away_K * (std::expm1(x) - x) : 0.0;
}

/// The same from what a carried probe read there, its approach to the vessel's temperature
/// included.
std::optional<Uncertain> carried_to_mixing(const RunPeriods& periods, double rest_degC) {
  constexpr double longest_s = 60.0, slow_leak_per_s = 3e-4, u_leak_per_s = 5e-4, any_K = 5.0;
  if (periods.input.added.size() < 5) return std::nullopt;
  const double last_s = periods.input.added.back().time_s;
  const CurveView part = between(periods.input.added, last_s - longest_s, INFINITY);
  const double away_K = part.back().temperature_degC - rest_degC;
  const DriftPrior prior{-slow_leak_per_s * away_K, u_leak_per_s * (std::abs(away_K) + any_K)};
  const Approach approach = fit_approach(part, periods.noise, prior);
  const double middle_s = 0.5 * (part.front().time_s + last_s);
  const double bend = bend_K(away_K, approach.slope_K_per_s, periods.mixing_s - middle_s);
  // What is poured goes on drifting until half of it is in the cup.
  constexpr double half_pour_s = 1.25, u_half_pour_s = 0.8;
  Uncertain added = approach.liquid_at(periods.mixing_s + half_pour_s);
  added.value += bend;
  const double u_time_s = std::hypot(periods.u_mixing_s, u_half_pour_s);
  added.u = std::hypot(added.u, 0.2 * bend, approach.slope_K_per_s * u_time_s);
  return added;
}

/// Temperature of the second vessel's contents, carried from its last readings to the mixing.
std::optional<Uncertain> added_at_mixing(const RunPeriods& periods, double rest_degC) {
  const RunInput& input = periods.input;
  if (input.one_probe) return carried_to_mixing(periods, rest_degC);
  const double until_s = periods.mixing_s - 1.0;
  const CurveView part = between(input.added, until_s - 60.0, until_s);
  if (part.size() < 3) return std::nullopt;
  const LineFit line = fit_line(part);
  const double rounding = estimate_noise(part).step_K / std::sqrt(12.0);
  const double share = rounding / std::sqrt(static_cast<double>(part.size()));
  // The probe shows what was a lag ago; of an unknown probe the lag is known within a factor of 2.
  constexpr double u_lag_s = 0.8 * usual_probe_lag_s;
  const double bend = bend_K(line.at_reference_degC - rest_degC, line.slope_K_per_s,
                             periods.mixing_s - line.reference_s);
  // The vessel's own rest is not known: a fifth of the bend stays open.
  const double u_K = std::hypot(line.u_at(periods.mixing_s), share, u_lag_s * line.slope_K_per_s);
  return Uncertain{line.at(periods.mixing_s) + bend + usual_probe_lag_s * line.slope_K_per_s,
                   std::hypot(u_K, 0.2 * bend), static_cast<double>(part.size() - 2)};
}

std::vector<TimedReading> timed_readings(CurveView cup, double mixing_s, double interval_s) {
  std::vector<TimedReading> readings;
  const double widest_s = std::max(10.0, 2.5 * interval_s);
  std::size_t i = 1;
  for (int after = 20; mixing_s + after <= cup.back().time_s; after += 20) {
    const double time_s = mixing_s + after;
    while (i < cup.size() && cup[i].time_s < time_s) ++i;
    if (i >= cup.size()) break;
    const Point &a = cup[i - 1], &b = cup[i];
    if (b.time_s - a.time_s > widest_s) continue;
    readings.push_back({after, interpolated_degC(a, b, time_s)});
  }
  return readings;
}

void take_periods(const RunPeriods& periods, RunAnalysis& out) {
  const double end_s = periods.curve().empty() ? 0.0 : periods.input.cup.back().time_s;
  out.fore = {periods.fore_start_s, periods.mixing_s};
  out.main = {periods.mixing_s, periods.main_end_s};
  out.after = {periods.main_end_s, end_s};
  out.mixing_time_s = {periods.mixing_s, periods.u_mixing_s, std::nullopt};
  out.left_out = periods.cup.left_out;
  out.found_by = periods.mark_used ? periods.input.marked_by : FoundBy::detector;
}

RunAnalysis unusable(const RunPeriods& periods, const char* code, std::size_t readings) {
  RunAnalysis out;
  take_periods(periods, out);
  out.findings.push_back({code, Severity::unusable, {{"readings", static_cast<double>(readings)}}});
  return out;
}

/// The estimates of a run, or what it lacks for them.
struct Chosen {
  std::optional<RiseChoice> choice;
  const char* lacking = "";
  std::size_t readings = 0;  ///< as many of it there are
};

/// @param to_the_middle  see `weighed_courses`
Chosen chosen_rise(RunPeriods& periods, bool to_the_middle) {
  if (periods.curve().empty()) return {{}, "no-foreperiod", 0};
  if (periods.fore.size() < least_fore_readings) return {{}, "no-foreperiod", periods.fore.size()};
  const std::size_t behind = between(periods.curve(), periods.hint_s, INFINITY).size();
  if (behind < least_after_readings) return {{}, "no-after-period", behind};
  const CourseChoice courses = courses_of(periods, to_the_middle);
  if (periods.after.size() < least_after_readings || courses.best().lack.shows()) {
    divide_by_drift(periods);
  }
  if (periods.after.size() < least_after_readings) {
    return {{}, "no-after-period", periods.after.size()};
  }
  periods.cut();
  return {choose_rise(periods, courses), "", 0};
}

/// Whether a rise is smaller than any that is looked for: 0.15 K, or eight scatters, of which a
/// few readings may tell a sixth too many.
bool is_below_threshold(const RiseChoice& choice, const Noise& noise) {
  constexpr double least_K = 0.15, least_scatters = 0.85 * 8.0, most_u = 2.5;
  const double scatter_K = std::min(noise.total_K(), choice.course.noise.total_K());
  const double largest_K = std::abs(choice.used.value_K) + most_u * choice.used.u_K;
  return largest_K < std::max(least_K, least_scatters * scatter_K);
}

}  // namespace

bool RunAnalysis::usable() const {
  return std::none_of(findings.begin(), findings.end(), [](const Finding& finding) {
    return finding.severity == Severity::unusable;
  });
}

RunAnalysis analyse_run(const RunInput& input) {
  RunPeriods periods(input);
  const Chosen chosen = chosen_rise(periods, true);
  if (!chosen.choice) return unusable(periods, chosen.lacking, chosen.readings);
  const RiseChoice& choice = *chosen.choice;

  RunAnalysis out;
  take_periods(periods, out);
  out.rise = choice.used;
  out.estimates = choice.estimates;
  out.cup_at_mixing_degC = choice.start_degC;
  out.added_at_mixing_degC = added_at_mixing(periods, choice.leak.rest_degC);
  out.final_degC = choice.final_degC;
  const HeatLeak& leak = choice.leak;
  out.equal_area_s = equal_area_time(
      periods.main, periods.mixing_s, periods.main_end_s, [&](double t) { return leak.fore_at(t); },
      [&](double t) { return leak.after_at(t); });
  out.leak = leak;
  if (choice.used_course) out.course = choice.course;
  out.timed_readings = timed_readings(input.cup, periods.mixing_s, periods.interval_s);
  out.findings = check_run(periods, choice, out);
  return out;
}

bool rise_shows(const RunInput& input, bool probe_moved) {
  constexpr double clear = 4.0, clear_without_course = 10.0;
  // Where digits hide the noise the quick way finds the larger uncertainty.
  for (const bool to_the_middle : {false, true}) {
    RunPeriods periods(input);
    const std::optional<RiseChoice> choice = chosen_rise(periods, to_the_middle).choice;
    if (!choice) return !probe_moved;
    if (probe_moved && choice->lack.shows() && !choice->used_course) return false;
    if (is_below_threshold(*choice, periods.noise)) return false;
    const double wanted = choice->lack.shows() ? clear_without_course : clear;
    if (std::abs(choice->used.value_K) >= wanted * choice->used.u_K) return true;
    if (!choice->course.noise.is_hidden()) return false;
  }
  return false;
}

}  // namespace nestcup

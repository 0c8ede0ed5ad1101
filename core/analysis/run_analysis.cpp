#include "core/analysis/run_analysis.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/response.hpp"
#include "core/analysis/run_checks.hpp"
#include "core/analysis/settling.hpp"

namespace nestcup {
namespace {

constexpr std::size_t least_fore_readings = 3;
constexpr std::size_t least_after_readings = 3;
constexpr double least_after_for_leak_s = 60.0;
constexpr std::size_t least_after_readings_for_leak = 6;

/// What the analysis works out step by step.
struct Work {
  const RunInput& input;
  Noise noise;
  double interval_s = 0.0;
  double hint_s = 0.0;
  double fore_start_s = 0.0;
  CurveView fore, main, after;
  double mixing_s = 0.0, u_mixing_s = 0.0, main_end_s = 0.0;
  bool settled = true;
  bool mark_used = false;
  RoomKnowledge room;
};

CurveView all_of(const Work& work) {
  return work.input.cup;
}

void cut_fore(Work& work, double end_s) {
  work.fore = between(all_of(work), work.fore_start_s, end_s);
}

/// The first division into periods, from the place where the cup clearly left its foreperiod.
void divide(Work& work) {
  const CurveView cup = all_of(work);
  work.hint_s = work.input.onset_hint_s;
  const double guard_s = std::max(5.0, 1.2 * work.interval_s);
  CurveView fore = between(cup, cup.front().time_s, work.hint_s - guard_s);
  if (fore.size() < least_fore_readings) {
    fore = between(cup, cup.front().time_s, work.hint_s);
  }
  work.fore_start_s = settled_from(fore, work.noise).value_or(cup.front().time_s);
  // Where a beginning had to be dropped, the rest of that approach is still dying out.
  work.fore_start_s += std::min(15.0, 0.75 * (work.fore_start_s - cup.front().time_s));
  work.fore = between(fore, work.fore_start_s, work.hint_s);

  const CurveView behind = between(cup, work.hint_s, cup.back().time_s + 1.0);
  const LineFit former = fit_line(work.fore);
  const auto settled =
      settled_from(behind, work.noise, FormerCourse{former.at(work.hint_s), former.slope_K_per_s});
  work.settled = settled.has_value();
  const double settled_s = settled.value_or(0.5 * (work.hint_s + cup.back().time_s));
  // What is left of a first-order approach hides in the noise where the test passes; a third of the
  // way further on it has died out.
  const double margin_s = std::min(30.0, 0.3 * (settled_s - work.hint_s));
  work.after = between(behind, settled_s + margin_s, cup.back().time_s + 1.0);
  if (!work.after.empty()) work.main_end_s = work.after.front().time_s;
}

/// Largest spacing of the cup's readings next to `time_s`.
double spacing_at(CurveView cup, double time_s) {
  for (std::size_t i = 1; i < cup.size(); ++i) {
    if (cup[i].time_s >= time_s) return cup[i].time_s - cup[i - 1].time_s;
  }
  return 0.0;
}

void choose_mark(Work& work) {
  const auto mark = work.input.mark_s;
  if (!mark) return;
  const double allowed_s = 10.0 + 2.0 * work.interval_s;
  work.mark_used = std::abs(*mark - work.hint_s) <= allowed_s && *mark < work.main_end_s;
}

HeatLeak fitted_leak(const Work& work) {
  return fit_heat_leak(work.fore, work.after, work.mixing_s, work.main_end_s, work.noise,
                       work.room);
}

void cut_main(Work& work) {
  work.main =
      between(all_of(work), std::nextafter(work.mixing_s, work.main_end_s), work.main_end_s);
}

/// Start of the pour: the mark, or the best fit of a pour seen through release and lag.
void place_mixing(Work& work) {
  work.mixing_s = std::min(work.hint_s, work.fore.back().time_s + 1e-3);
  const CurveView cup = all_of(work);
  for (int turn = 0; turn < 2; ++turn) {
    const HeatLeak leak = fitted_leak(work);
    cut_main(work);
    const double rise_K =
        regnault_pfaundler(leak, work.fore, work.main, work.after, work.noise, 0.0).value_K;
    const double from_s = std::max(work.fore_start_s, work.hint_s - 60.0);
    const Curve course = adiabatic_course(between(cup, from_s, work.main_end_s + 20.0), leak);
    const MixingFit fit = fit_mixing(course, work.hint_s, rise_K, work.noise);
    const double spacing_s = spacing_at(cup, fit.time_s);
    // No hand pours as evenly as the ramp: how it sets in stays open by a fifth of its length.
    // Where the whole way lies between two readings, the fit leaves the time open; it lies there.
    const double u_fit_s = std::min(fit.u_time_s, std::max(10.0, spacing_s));
    work.u_mixing_s = std::hypot(u_fit_s, std::hypot(0.1 * spacing_s, 0.2 * fit.pour_s));
    work.mixing_s = std::clamp(fit.time_s, work.fore_start_s + 1e-3, work.main_end_s - 1e-3);
    if (work.mark_used) {
      work.mixing_s = *work.input.mark_s;
      work.u_mixing_s = 0.5;  // a hand on a key is about so good
    }
    const double guard_s = std::clamp(2.0 * work.u_mixing_s, 0.0, 5.0);
    cut_fore(work, work.mixing_s - guard_s);
    if (work.fore.size() < least_fore_readings) cut_fore(work, work.mixing_s);
  }
}

std::optional<Uncertain> added_at_mixing(const Work& work) {
  const CurveView part = between(work.input.added, work.mixing_s - 60.0, work.mixing_s - 1.0);
  if (part.size() < 3) return std::nullopt;
  const LineFit line = fit_line(part);
  const double rounding = estimate_noise(part).step_K / std::sqrt(12.0);
  const double share = rounding / std::sqrt(static_cast<double>(part.size()));
  return Uncertain{line.at(work.mixing_s), std::hypot(line.u_at(work.mixing_s), share),
                   static_cast<double>(part.size() - 2)};
}

RoomKnowledge room_of(const RunInput& input) {
  RoomKnowledge room;
  if (input.room.size() < 3) return room;
  double sum = 0.0;
  for (const Point& point : input.room) sum += point.temperature_degC;
  room.room_degC = sum / static_cast<double>(input.room.size());
  return room;
}

/// How far the rise moves when the main period is taken to end later, by a third of the after
/// period: nothing but scatter, unless some of the approach was still to come.
double later_end_K(Work work, double rise_K) {
  const double end_s = work.after.back().time_s;
  const CurveView later =
      between(work.after, work.main_end_s + (end_s - work.main_end_s) / 3.0, end_s + 1.0);
  if (later.size() < least_after_readings_for_leak ||
      end_s - later.front().time_s < least_after_for_leak_s) {
    return 0.0;
  }
  work.after = later;
  work.main_end_s = later.front().time_s;
  cut_main(work);
  const HeatLeak leak = fitted_leak(work);
  return rise_K -
         regnault_pfaundler(leak, work.fore, work.main, work.after, work.noise, 0.0).value_K;
}

void take_estimates(const Work& work, const HeatLeak& leak, RunAnalysis& out) {
  RiseEstimate integral =
      regnault_pfaundler(leak, work.fore, work.main, work.after, work.noise, work.u_mixing_s);
  const double moved_K = std::abs(later_end_K(work, integral.value_K));
  add_to_budget(integral, {"end of the main period", moved_K / std::sqrt(3.0), 'B'});
  RiseEstimate lines =
      straight_lines(work.fore, work.main, work.after, work.mixing_s, work.main_end_s);
  const double after_s = work.after.back().time_s - work.main_end_s;
  const bool leak_known =
      after_s >= least_after_for_leak_s && work.after.size() >= least_after_readings_for_leak;
  if (leak_known) {
    integral.note += "; used: the after period is long enough to know the leak";
  } else {
    integral.note += "; not used: the after period is too short to know the leak";
    lines.note += "; used: the after period is short";
    // Carried back over a short way, the line's error is what the curvature left out.
    const double bend_K = std::abs(lines.value_K - integral.value_K);
    add_to_budget(lines, {"bend of the after period that a line leaves out", bend_K, 'B'});
  }
  out.rise = leak_known ? integral : lines;
  out.estimates = {std::move(integral), std::move(lines)};
}

void take_temperatures(const Work& work, const HeatLeak& leak, RunAnalysis& out) {
  const double dof = leak.dof;
  const double drift_K_per_s = leak.fore_rate_per_s() * (leak.start_degC - leak.rest_degC);
  out.cup_at_mixing_degC = {
      leak.start_degC,
      std::hypot(std::sqrt(leak.covariance(0, 0)), usual_probe_lag_s * drift_K_per_s), dof};
  out.added_at_mixing_degC = added_at_mixing(work);
  out.final_degC = {leak.start_degC + out.rise.value_K,
                    std::sqrt(std::max(0.0, out.rise.u_K * out.rise.u_K - leak.covariance(0, 0))),
                    out.rise.dof};
  // The rise's uncertainty holds that of the start; where the rest is smaller than the end's own,
  // the end's own stands.
  out.final_degC.u = std::max(out.final_degC.u, std::sqrt(leak.covariance(4, 4)));
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
    const double share = (time_s - a.time_s) / (b.time_s - a.time_s);
    readings.push_back(
        {after, a.temperature_degC + share * (b.temperature_degC - a.temperature_degC)});
  }
  return readings;
}

void take_periods(const Work& work, RunAnalysis& out) {
  const double end_s = work.input.cup.empty() ? 0.0 : work.input.cup.back().time_s;
  out.fore = {work.fore_start_s, work.mixing_s};
  out.main = {work.mixing_s, work.main_end_s};
  out.after = {work.main_end_s, end_s};
  out.mixing_time_s = {work.mixing_s, work.u_mixing_s, std::nullopt};
  out.found_by = work.mark_used ? FoundBy::mark : FoundBy::detector;
}

RunAnalysis unusable(const Work& work, const char* code, std::size_t readings) {
  RunAnalysis out;
  take_periods(work, out);
  out.findings.push_back({code, Severity::unusable, {{"readings", static_cast<double>(readings)}}});
  return out;
}

}  // namespace

std::string_view found_by_name(FoundBy found_by) {
  switch (found_by) {
    case FoundBy::detector:
      return "detector";
    case FoundBy::mark:
      return "mark";
    case FoundBy::line_signal:
      return "line signal";
  }
  return "detector";
}

bool RunAnalysis::usable() const {
  return std::none_of(findings.begin(), findings.end(), [](const Finding& finding) {
    return finding.severity == Severity::unusable;
  });
}

RunAnalysis analyse_run(const RunInput& input) {
  Work work{input,
            estimate_run_noise(input.cup, input.onset_hint_s - 5.0),
            median_interval_s(input.cup),
            0,
            0,
            {},
            {},
            {},
            0,
            0,
            0,
            true,
            false,
            room_of(input)};
  if (input.cup.empty()) return unusable(work, "no-foreperiod", 0);
  divide(work);
  if (work.fore.size() < least_fore_readings) {
    work.mixing_s = work.u_mixing_s = work.hint_s;
    work.u_mixing_s = work.interval_s;
    return unusable(work, "no-foreperiod", work.fore.size());
  }
  if (work.after.size() < least_after_readings) {
    work.mixing_s = work.hint_s;
    work.u_mixing_s = work.interval_s;
    work.main_end_s = input.cup.back().time_s;
    return unusable(work, "no-after-period", work.after.size());
  }
  choose_mark(work);
  place_mixing(work);
  cut_main(work);
  const HeatLeak leak = fitted_leak(work);

  RunAnalysis out;
  take_periods(work, out);
  take_estimates(work, leak, out);
  take_temperatures(work, leak, out);
  out.equal_area_s = equal_area_time(
      work.main, work.mixing_s, work.main_end_s, [&](double t) { return leak.fore_at(t); },
      [&](double t) { return leak.after_at(t); });
  out.leak = leak;
  out.timed_readings = timed_readings(input.cup, work.mixing_s, work.interval_s);
  out.findings = check_run(input, out, work.settled);
  return out;
}

}  // namespace nestcup

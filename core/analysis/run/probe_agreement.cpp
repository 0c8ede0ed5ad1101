#include "core/analysis/run/probe_agreement.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/line_fit.hpp"

namespace nestcup {
namespace {

/// No two thermometers for the job differ by more; what does is another liquid.
constexpr double largest_offset_K = 1.5;
/// So much of the common way may be missing in the difference: errors of scale are a tenth of it.
constexpr double largest_share = 0.05;
/// Over a shorter stretch a line tells nothing, and a probe just put in has not come to rest.
constexpr double least_stretch_s = 40.0;
constexpr double put_in_settling_s = 30.0;
constexpr std::size_t least_pairs = 8;
/// A way that stands out of what probes of different lag show.
constexpr double least_way_K = 0.1;
/// A probe that was moved from one liquid to another shows it by more than drift does.
constexpr double least_move_K = 0.5;
constexpr double course_s = 60.0;
constexpr double least_steps = 3.0;

/// Second vessel's probe less the cup's, at the former's readings in [from_s, to_s).
Curve differences(const RunPeriods& periods, double from_s, double to_s) {
  const CurveView cup = between(periods.curve(), from_s, to_s);
  Curve result;
  std::size_t i = 1;
  for (const Point& added : between(periods.input.added, from_s, to_s)) {
    while (i < cup.size() && cup[i].time_s < added.time_s) ++i;
    if (i >= cup.size()) break;
    if (cup[i - 1].time_s > added.time_s) continue;
    const double cup_degC = interpolated_degC(cup[i - 1], cup[i], added.time_s);
    result.push_back({added.time_s, added.temperature_degC - cup_degC});
  }
  return result;
}

struct Stretch {
  LineFit cup, difference;
  double length_s = 0.0;
  double u_mean_K = 0.0;

  [[nodiscard]] double mean_K() const { return difference.at(difference.reference_s); }
};

std::optional<Stretch> stretch_of(const RunPeriods& periods, double from_s, double to_s) {
  const Curve apart = differences(periods, from_s, to_s);
  if (apart.size() < least_pairs) return std::nullopt;
  Stretch stretch;
  stretch.length_s = apart.back().time_s - apart.front().time_s;
  if (stretch.length_s < least_stretch_s) return std::nullopt;
  stretch.difference = fit_line(apart);
  stretch.cup = fit_line(between(periods.curve(), from_s, to_s));
  // Two displays that stand still share their rounding over the whole stretch.
  stretch.u_mean_K = std::hypot(stretch.difference.u_at(stretch.difference.reference_s),
                                periods.noise.step_K / std::sqrt(12.0));
  const bool near = std::abs(stretch.mean_K()) < largest_offset_K;
  return near ? std::optional(stretch) : std::nullopt;
}

/// Both go the same way, and what they are apart stays as it is.
bool drift_together(const Stretch& stretch, double step_K) {
  const double way_K = std::abs(stretch.cup.slope_K_per_s) * stretch.length_s;
  const double apart_K =
      (std::abs(stretch.difference.slope_K_per_s) + 2.0 * stretch.difference.u_slope_K_per_s) *
      stretch.length_s;
  return way_K > std::max(least_way_K, least_steps * step_K) && apart_K < largest_share * way_K;
}

/// Whether the second probe left the course that it was on before the mixing: it was moved, or took
/// part in the rise. In a vessel of its own it goes on as before, be it side by side with the cup.
bool left_its_course(const RunPeriods& periods, double time_s) {
  const double from_s = std::max(periods.fore_start_s, periods.mixing_s - course_s);
  const CurveView before = between(periods.input.added, from_s, periods.mixing_s - 2.0);
  const CurveView behind = between(periods.input.added, time_s, INFINITY);
  if (before.size() < least_pairs || behind.empty()) return false;
  const LineFit line = fit_line(before);
  const Point& then = behind.front();
  const double expected_degC = line.at(then.time_s);
  // Water that cools bends by a part of its drift.
  const double bent_K = 0.2 * std::abs(expected_degC - line.at_reference_degC);
  return std::abs(then.temperature_degC - expected_degC) > std::max(least_move_K, bent_K);
}

/// The cup's rise shows in both alike.
bool rose_together(const Stretch& before, const Stretch& behind, const RunPeriods& periods) {
  const double way_K =
      std::abs(behind.cup.at(periods.main_end_s) - before.cup.at(periods.mixing_s));
  const double apart_K = std::abs(behind.mean_K() - before.mean_K()) +
                         2.0 * std::hypot(behind.u_mean_K, before.u_mean_K);
  return way_K > least_way_K && apart_K < largest_share * way_K;
}

}  // namespace

std::optional<ProbeOffset> probe_offset(const RunPeriods& periods) {
  if (periods.input.added.empty() || periods.curve().empty()) return std::nullopt;
  const double end_s = std::nextafter(periods.curve().back().time_s, INFINITY);
  const auto before = stretch_of(periods, periods.fore_start_s, periods.mixing_s - 2.0);
  // The second probe may come into the cup some time behind the mixing.
  for (double from_s = periods.main_end_s; end_s - from_s > least_stretch_s;
       from_s += put_in_settling_s) {
    const auto behind = stretch_of(periods, from_s, end_s);
    if (!behind || !left_its_course(periods, from_s)) continue;
    if (drift_together(*behind, periods.noise.step_K) ||
        (before && rose_together(*before, *behind, periods))) {
      return ProbeOffset{behind->mean_K(), behind->u_mean_K};
    }
  }
  return std::nullopt;
}

}  // namespace nestcup

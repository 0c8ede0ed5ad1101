#include "core/analysis/mixing/candidate.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/course/course_fit.hpp"
#include "core/analysis/course/course_misfit.hpp"
#include "core/analysis/course/rival_courses.hpp"
#include "core/analysis/course/stamp_scatter.hpp"
#include "core/analysis/readings/knocks.hpp"
#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/settling.hpp"

namespace nestcup {
namespace {

constexpr std::size_t least_quiet = 3;  // readings without which nothing is known of a rise
constexpr double smallest_rise_K = 0.08;
constexpr double long_excursion_s = 8.0;
constexpr double slow_ramp_s = 45.0;
constexpr double short_ramp_s = 8.0;
constexpr double leaks_faster = 8.0;  // at most, with the lid off or in a draught
constexpr double drifting_K_per_s = 2.5e-3;
constexpr double slow_release_s = 100.0;
constexpr double drifting_s = 120.0;     // a rise that the cup's drift makes in less is doubtful
constexpr double passing_behind = 10.0;  // then: logarithm of the odds against passing changes

/// Scatter of readings about a course that is right: their noise, and what their stamps' scatter
/// makes on its slopes.
struct Scatter {
  double noise_K = 0.0, stamps_s = 0.0;

  [[nodiscard]] double about_K(CurveView curve, const MixingCourse& course) const {
    return std::hypot(noise_K, stamped_scatter_K(curve, course, stamps_s));
  }
};

/// Longest stretch spent clearly beyond the old or the new course, s: a wet probe in air, a rinse.
double excursion_s(CurveView main, const LineFit& fore, const LineFit& after, double scatter_K) {
  double longest = 0.0;
  std::optional<double> begun;
  for (const Point& point : main) {
    const double from = fore.at(point.time_s), way_K = after.at(point.time_s) - from;
    const double share = (point.temperature_degC - from) / way_K;
    const double beyond_K = std::max(share - 1.0, -share) * std::abs(way_K);
    const bool outside = beyond_K > 0.2 * std::abs(way_K) + 3.0 * scatter_K;
    if (!outside) begun.reset();
    if (outside && !begun) begun = point.time_s;
    if (begun) longest = std::max(longest, point.time_s - *begun);
  }
  return longest;
}

/// The steady part of the foreperiod near the onset: a cup that is still coming to rest bends.
CurveView steady_fore(CurveView curve, double onset_s, const Noise& noise) {
  CurveView fore = between(curve, onset_s - 120.0, onset_s - 3.0);
  if (fore.size() < 3) fore = between(curve, onset_s - 240.0, onset_s);
  const auto steady_s = steady_from(fore, noise);
  if (!steady_s || fore.empty()) return fore;
  // Where a beginning had to be dropped, the rest of that approach is still dying out.
  const double margin_s = std::min(15.0, 0.75 * (*steady_s - fore.front().time_s));
  const CurveView rest = between(fore, *steady_s + margin_s, onset_s);
  return rest.size() < 3 ? between(fore, *steady_s, onset_s) : rest;
}

/// Level and slope of a stretch of drift, with uncertainties for readings of known scatter.
struct Drift {
  LineFit line;
  double u_level_K = 0.0, u_slope_K_per_s = INFINITY;

  Drift(CurveView curve, double scatter_K) : line(fit_line(curve)) {
    double sxx = 0.0;
    for (const Point& point : curve) {
      sxx += (point.time_s - line.reference_s) * (point.time_s - line.reference_s);
    }
    u_level_K = scatter_K / std::sqrt(static_cast<double>(std::max<std::size_t>(1, line.count)));
    if (sxx > 0.0) u_slope_K_per_s = scatter_K / std::sqrt(sxx);
  }
  [[nodiscard]] double u_at(double time_s) const {
    return std::hypot(u_level_K, u_slope_K_per_s * (time_s - line.reference_s));
  }
};

constexpr double mixed_leak_per_s = 3e-4;

/// A short stretch says little about its slope; the other one says within limits what it was: the
/// leak of a mixed cup is at most twice as slow or as fast, and pulls at the rise, too.
void share_slope(Drift& drift, const Drift& other, double change_K_per_s, double rise_K) {
  const double expected = other.line.slope_K_per_s + change_K_per_s;
  const double u = std::hypot(0.7 * expected, mixed_leak_per_s * rise_K, 2e-4);
  const double u_expected = std::hypot(u, other.u_slope_K_per_s);
  const double seen = drift.u_slope_K_per_s, weight = 1.0 / (1.0 + std::pow(seen / u_expected, 2));
  drift.line.slope_K_per_s =
      std::isfinite(seen) ? expected + weight * (drift.line.slope_K_per_s - expected) : expected;
  drift.u_slope_K_per_s = std::isfinite(seen) ? u_expected * std::sqrt(1.0 - weight) : u_expected;
}

void share_slopes(Drift& fore, Drift& after) {
  const double rise_K = after.line.at_reference_degC - fore.line.at_reference_degC;
  const Drift alone = fore;
  share_slope(fore, after, mixed_leak_per_s * rise_K, rise_K);
  share_slope(after, alone, -mixed_leak_per_s * rise_K, rise_K);
}

/// The drift behind the main period, less its beginning where there is enough of it.
CurveView settled_drift(CurveView curve, double onset_s, double settled_s) {
  const double margin_s = std::min(60.0, 0.3 * (settled_s - onset_s));
  const CurveView rest = between(curve, settled_s + margin_s, settled_s + margin_s + 180.0);
  if (rest.size() >= 5 && rest.back().time_s - rest.front().time_s > 60.0) return rest;
  return between(curve, settled_s, settled_s + 180.0);
}

/// An even ramp of a minute is a heater or a bath, and so is an approach over minutes. What no
/// single mixing describes is a probe on its way: it hangs in air, and a plunge leaves a kink.
Verdict judge_course(CurveView main, const course::Vector& p, double rise_K, const Scatter& scatter,
                     double fore_slope_K_per_s) {
  const MixingCourse course(p, course::Form::one_release);
  const double limit_K = std::max(0.006 * std::abs(rise_K), 3.0 * scatter.about_K(main, course));
  if (misfit_K(main, course) > limit_K) {
    return Verdict::probe_moved;
  }
  const double pour_s = std::exp(p(course::log_pour)), release_s = std::exp(p(course::log_release));
  const double lag_s = std::exp(p(course::log_lag));
  if (pour_s > slow_ramp_s && pour_s > release_s + lag_s) return Verdict::slow_heating;
  if (release_s + lag_s > slow_release_s) return Verdict::slow_heating;
  // A lid that is off for a while, a draught: for so long the cup leaks faster. Near rest it has
  // not far to go.
  const bool ramp = pour_s > short_ramp_s && pour_s > release_s;
  const double passing_s = ramp ? pour_s : std::max(short_ramp_s, pour_s + release_s + lag_s);
  const double faster = rise_K / passing_s / fore_slope_K_per_s;
  const double least_K_per_s = ramp ? 0.0 : drifting_K_per_s;
  return faster > 0.0 && faster < leaks_faster && std::abs(fore_slope_K_per_s) > least_K_per_s &&
                 (ramp || passing_s > short_ramp_s)
             ? Verdict::slow_heating
             : Verdict::mixing;
}

/// What the courses before and behind and a single mixing's say, and the drift before.
struct Shape {
  Verdict verdict = Verdict::too_small;
  double steady_s = 0.0;      ///< from where on the foreperiod is steady
  double drift_s = INFINITY;  ///< for so long the cup drifts until it has made the rise
};

Shape judge_shape(CurveView curve, double onset_s, double settled_s, bool heater) {
  const Noise noise = estimate_run_noise(curve, onset_s - 5.0);
  const double scatter_K = std::max(noise.total_K(), 5e-4);
  const CurveView steady = steady_fore(curve, onset_s, noise);
  const double steady_s = steady.empty() ? onset_s : steady.front().time_s;
  const course::Vector p =
      rough_course(between(curve, steady_s, settled_s + 180.0), onset_s, noise);
  // A slow release is on its way for some time before it clearly leaves the line, and is not over
  // when it hides in the noise.
  const double begin_s = std::clamp(p(course::mixing_s), onset_s - 40.0, onset_s);
  const double over_s = begin_s + std::exp(p(course::log_pour)) +
                        4.0 * (std::exp(p(course::log_release)) + std::exp(p(course::log_lag)));
  const double end_s = std::max(settled_s, std::min(over_s, curve.back().time_s - 90.0));
  CurveView early = steady_fore(curve, begin_s, noise);
  if (early.size() < least_quiet) early = steady;
  if (early.size() < least_quiet) return {};
  Drift before(early, scatter_K);
  Drift behind(settled_drift(curve, begin_s, end_s), scatter_K);
  share_slopes(before, behind);
  const LineFit &fore = before.line, &after = behind.line;
  const double rise_K = after.at(begin_s) - fore.at(begin_s);
  const double u_K = std::hypot(before.u_at(begin_s), behind.u_at(begin_s));
  // Stretches that show one digit each may be all but a step nearer than that.
  const double rounding_K = noise.sd_K < 0.4 * noise.step_K ? 1.3 * noise.step_K : 0.0;
  if (std::abs(rise_K) < std::max({smallest_rise_K, 3.0 * u_K, rounding_K})) {
    return {};
  }
  if (heater) return {Verdict::mixing, steady_s};
  const double interval_s = median_interval_s(curve);
  const double main_end_s = std::max(settled_s + 1.0, onset_s + 8.0 * interval_s);
  const CurveView main = between(curve, onset_s - std::max(15.0, 2.5 * interval_s), main_end_s);
  const double drift_s = std::abs(rise_K / fore.slope_K_per_s);
  if (excursion_s(main, fore, after, noise.total_K()) > long_excursion_s) {
    return {Verdict::probe_moved, steady_s, drift_s};
  }
  const Scatter scatter{noise.total_K(), stamp_scatter_s(curve)};
  return {judge_course(main, p, rise_K, scatter, fore.slope_K_per_s), steady_s, drift_s};
}

/// Whether a mixing's course with two releases is on its way at once: half of the rise is there
/// soon, and none of it before was far beyond both ends. A heater's or a bath's even ramp takes
/// longer, and a probe on its way goes astray.
bool rises_soon(const course::Vector& p) {
  constexpr double soon_s = 45.0, half = 0.5, lowest = -0.2, highest = 2.2, later = 1.3;
  const double share = p(course::slow_share);
  const double quick_s = std::exp(p(course::log_release)), slow_s = std::exp(p(course::log_slow));
  const auto released = [&](double time_s) {
    return 1.0 - (1.0 - share) * std::exp(-time_s / quick_s) - share * std::exp(-time_s / slow_s);
  };
  if (std::exp(p(course::log_pour)) > short_ramp_s) return false;
  for (double time_s = 0.1; time_s < soon_s; time_s *= later) {
    if (released(time_s) < lowest || released(time_s) > highest) return false;
  }
  return released(soon_s) > half;
}

/// A sheet that takes as long as a heater's or a bath's even ramp cannot be told from one.
bool is_slow_sheet(const RivalCourses& rivals) {
  return rivals.form == course::Form::one_sheet &&
         std::exp(rivals.parameters(course::log_pour)) > slow_ramp_s;
}

/// Whether the best course of a mixing is one of those which a single, even pour is far from.
bool may_look_moved(const RivalCourses& rivals) {
  if (course::taking_part(rivals.form) > course::slow_share) return rises_soon(rivals.parameters);
  return course::is_thinned(rivals.form) ||
         (course::solid_of(rivals.form) && !is_slow_sheet(rivals));
}

/// A mixing is what some course of a mixing describes and no rival explains better; where its shape
/// is that of a moved probe, what every rival explains much worse: a quick and a slow release.
Verdict weigh_mixing(CurveView curve, double onset_s, double settled_s, const Shape& shape) {
  constexpr double fore_s = 150.0, after_s = 180.0, most_of_way = 0.004;
  constexpr double wide_scatters = 2.0, close_scatters = 1.3;
  const Noise noise = estimate_run_noise(curve, onset_s - 5.0);
  // A cup or a probe that is still coming to rest is no part of any of these courses, nor is a
  // knock.
  const double from_s = std::max(shape.steady_s, onset_s - fore_s);
  const KnockFree quiet = without_knocks(between(curve, from_s, settled_s + after_s), noise);
  const CurveView window = quiet.curve;
  RivalCourses rivals = weigh_rivals(window, onset_s, noise);
  if (shape.verdict == Verdict::probe_moved || !rivals.allow_mixing()) {
    weigh_thinned_pour(window, onset_s, noise, rivals);
    weigh_solids(window, onset_s, noise, rivals);
  }
  const double scatter_K = noise.total_K(), least_K = most_of_way * range_K(window);
  const Scatter scatter{scatter_K, stamp_scatter_s(curve)};
  const double about_K = scatter.about_K(window, rivals.mixing_course());
  const std::size_t fore = between(curve, from_s, onset_s - 5.0).size();
  const double few = doubt_of_few(std::max(least_quiet, fore));
  const auto moved_or_gentle = [&] {
    const double limit_K = std::max(close_scatters * scatter_K, least_K);
    const bool gentle = sets_in_gently(window, onset_s, noise, limit_K, rivals);
    return gentle ? Verdict::mixing : Verdict::probe_moved;
  };
  if (rivals.misfit_K > std::max(few * wide_scatters * about_K, least_K)) return moved_or_gentle();
  if (shape.verdict == Verdict::probe_moved) {
    // The foreperiod alone may be short, and by chance smoother than the whole.
    const double whole_K = std::max(scatter_K, estimate_noise(window).total_K());
    const bool is_close = rivals.misfit_K < std::max(close_scatters * whole_K, 0.25 * least_K);
    const bool is_mixing = is_close && may_look_moved(rivals) && rivals.ask_for_mixing();
    return is_mixing ? Verdict::mixing : moved_or_gentle();
  }
  if (is_slow_sheet(rivals)) return Verdict::slow_heating;
  // No more than two minutes' drift is what a lid, a draught or the end of heating brings, too.
  if (shape.drift_s < drifting_s && rivals.mixing < rivals.passing + passing_behind) {
    return Verdict::slow_heating;
  }
  if (rivals.allow_mixing()) return Verdict::mixing;
  return rivals.passing_is_best() ? Verdict::slow_heating : Verdict::probe_moved;
}

}  // namespace

std::string_view verdict_name(Verdict verdict) {
  switch (verdict) {
    case Verdict::mixing:
      return "mixing";
    case Verdict::too_small:
      return "too small a rise";
    case Verdict::probe_moved:
      return "the probe was moved";
    case Verdict::slow_heating:
      return "slow heating without a heater in the trial";
  }
  return "mixing";
}

Verdict judge_candidate(CurveView curve, double onset_s, double settled_s, bool heater) {
  const Shape shape = judge_shape(curve, onset_s, settled_s, heater);
  const bool is_decided =
      heater || shape.verdict == Verdict::too_small || shape.verdict == Verdict::slow_heating;
  return is_decided ? shape.verdict : weigh_mixing(curve, onset_s, settled_s, shape);
}

}  // namespace nestcup

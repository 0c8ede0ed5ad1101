#include "core/analysis/candidate.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/course_choice.hpp"
#include "core/analysis/line_fit.hpp"
#include "core/analysis/noise.hpp"
#include "core/analysis/settling.hpp"

namespace nestcup {
namespace {

constexpr double smallest_rise_K = 0.10;
constexpr double long_excursion_s = 8.0;
constexpr double slow_ramp_s = 45.0;
constexpr double slow_release_s = 100.0;

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
  const auto steady_s = settled_from(fore, noise);
  if (!steady_s || fore.empty()) return fore;
  // Where a beginning had to be dropped, the rest of that approach is still dying out.
  const double margin_s = std::min(15.0, 0.75 * (*steady_s - fore.front().time_s));
  const CurveView rest = between(fore, *steady_s + margin_s, onset_s);
  return rest.size() < 3 ? between(fore, *steady_s, onset_s) : rest;
}

/// Standard deviation of the main period's readings about the best course of one mixing.
double misfit_K(CurveView main, const MixingCourse& course) {
  double squares = 0.0;
  for (const Point& point : main) {
    const double residual = point.temperature_degC - course.at(point.time_s);
    squares += residual * residual;
  }
  return std::sqrt(squares / static_cast<double>(std::max<std::size_t>(1, main.size())));
}

/// Whether a course with a second step describes the readings where one without does not. A probe
/// on its way is never so smooth: its plunge is a kink.
bool is_two_steps(CurveView around, CurveView main, double onset_s, const Noise& noise) {
  const CoursePrior prior = bench_prior(around.front().temperature_degC, onset_s, std::nullopt);
  const CourseFit fit = weighed_courses(around, onset_s, noise, prior).best().fit;
  const double allowed_K = std::max(0.001 * std::abs(fit.rise_K()), 1.3 * noise.total_K());
  return misfit_K(main, fit.course()) < allowed_K;
}

/// An even ramp of a minute is a heater or a bath, and so is an approach over minutes. What no
/// single mixing describes is a probe on its way: it hangs in air, and a plunge leaves a kink.
Verdict judge_course(CurveView curve, CurveView main, double onset_s, double rise_K,
                     const Noise& noise) {
  const course::Vector p = rough_course(curve, onset_s, noise);
  const double scatter_K = noise.total_K();
  if (misfit_K(main, {p, false}) > std::max(0.006 * std::abs(rise_K), 3.0 * scatter_K)) {
    return is_two_steps(curve, main, onset_s, noise) ? Verdict::mixing : Verdict::probe_moved;
  }
  const double pour_s = std::exp(p(course::log_pour)), release_s = std::exp(p(course::log_release));
  const double lag_s = std::exp(p(course::log_lag));
  if (pour_s > slow_ramp_s && pour_s > release_s + lag_s) return Verdict::slow_heating;
  return std::max(release_s, lag_s) > slow_release_s ? Verdict::slow_heating : Verdict::mixing;
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
  const Noise noise = estimate_run_noise(curve, onset_s - 5.0);
  const CurveView steady = steady_fore(curve, onset_s, noise);
  const LineFit fore = fit_line(steady);
  const LineFit after = fit_line(between(curve, settled_s, settled_s + 120.0));
  const double rise_K = after.at(onset_s) - fore.at(onset_s);
  if (std::abs(rise_K) <
      std::max(smallest_rise_K,
               5.0 * noise.total_K() /
                   std::sqrt(static_cast<double>(std::max<std::size_t>(1, after.count))))) {
    return Verdict::too_small;
  }
  const CurveView main = between(curve, onset_s - 15.0, settled_s + 1.0);
  const double steady_s = steady.empty() ? onset_s : steady.front().time_s;
  const CurveView around = between(curve, steady_s, settled_s + 120.0);
  if (excursion_s(main, fore, after, noise.total_K()) > long_excursion_s) {
    return is_two_steps(around, main, onset_s, noise) ? Verdict::mixing : Verdict::probe_moved;
  }
  if (heater || main.size() < 8) return Verdict::mixing;
  return judge_course(around, main, onset_s, rise_K, noise);
}

}  // namespace nestcup

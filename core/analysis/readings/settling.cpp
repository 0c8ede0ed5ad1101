#include "core/analysis/readings/settling.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/knocks.hpp"
#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/tail_sums.hpp"

namespace nestcup {
namespace {

constexpr std::size_t least_points = 5;
constexpr double least_span_s = 20.0;
constexpr double first_block_s = 15.0;
constexpr double rest_factor = 3.0;

/// Behind the last point of the first block of the tail that begins at `first`.
std::size_t block_end(CurveView curve, std::size_t first, double interval_s) {
  const double end_s = curve[first].time_s + std::max(first_block_s, 2.5 * interval_s);
  std::size_t end = first;
  while (end < curve.size() && curve[end].time_s < end_s) ++end;
  return end;
}

/// Whether a first-order rest that dies out over the tail shows beside the parabola.
bool rest_shows(const TailFit& fit, double single_K, double rounding_K) {
  return std::any_of(fit.rests.begin(), fit.rests.end(), [&](const TailFit::Rest& rest) {
    if (rest.weight <= 0.0) return false;
    const double u_K = std::hypot(single_K / std::sqrt(rest.weight), rounding_K);
    return std::abs(rest.amplitude_K) > rest_factor * u_K;
  });
}

/// Whether the first block of the tail lies on the parabola through all of it, and the rest, too.
bool begins_settled(CurveView curve, const TailSums& sums, std::size_t first, const Noise& noise,
                    double interval_s) {
  const double single_K = std::max(noise.total_K(), 5e-4);
  const TailFit fit = sums.fit(first);
  const auto n = static_cast<double>(fit.count);
  const double sd_K = std::sqrt(fit.squares_K2 / std::max(1.0, n - 3.0));
  if (sd_K > (1.5 + 2.0 / std::sqrt(n)) * single_K) return false;
  // Rounded readings of a slow course share their rounding error over the whole block.
  const double rounding_K = noise.sd_K < 0.4 * noise.step_K ? 0.2 * noise.step_K : 0.0;
  const std::size_t end = block_end(curve, first, interval_s);
  const double scatter_of_mean_K =
      std::max(sd_K, single_K) / std::sqrt(static_cast<double>(end - first));
  return std::abs(sums.mean_residual_K(fit, first, end)) <=
             2.5 * std::hypot(scatter_of_mean_K, rounding_K) &&
         std::abs(sums.residual_K(fit, first)) <= 4.0 * std::hypot(sd_K, 0.5 * noise.step_K) &&
         !rest_shows(fit, single_K, rounding_K);
}

/// Whether the mean drift of `tail` is one that a leak can make: no open cup leaks faster than
/// 2e-3 per s of what it is away from rest, and what drifted before may drift on.
bool drifts_as_a_leak(CurveView tail, const FormerCourse& former) {
  constexpr double fastest_leak_per_s = 2e-3;
  constexpr double any_drift_K_per_s = 1.5e-3, any_onward_K_per_s = 7e-4;
  const LineFit line = fit_line(tail);
  const double away_K = line.at(tail.front().time_s) - former.level_degC;
  const double former_K_per_s = 1.2 * std::abs(former.drift_K_per_s);
  const double u = 3.0 * line.u_slope_K_per_s;
  // Onwards, the way the rise went, a leak does not go: that is a release that is not over.
  const double onwards = std::copysign(1.0, away_K) * line.slope_K_per_s;
  return onwards <= any_onward_K_per_s + former_K_per_s + u &&
         -onwards <= fastest_leak_per_s * std::abs(away_K) + any_drift_K_per_s + former_K_per_s + u;
}

/// Uncertainty of the distance of a further reading to the line through `curve`, in scatters.
double further_scatters(CurveView curve, const LineFit& line, double time_s) {
  double sxx = 0.0;
  for (const Point& point : curve) {
    sxx += (point.time_s - line.reference_s) * (point.time_s - line.reference_s);
  }
  const double lead_s = time_s - line.reference_s;
  return std::sqrt(1.0 + 1.0 / static_cast<double>(curve.size()) + lead_s * lead_s / sxx);
}

/// Begin of the readings at the end that lie on one line: for so few that they bear no parabola.
std::optional<double> straight_end_from(CurveView readings, const Noise& noise) {
  constexpr std::size_t least_readings = 3;
  constexpr double straight_scatters = 2.5, off_scatters = 3.0;
  if (readings.size() < least_readings) return std::nullopt;
  const double scatter_K = std::max(noise.total_K(), 5e-4);
  CurveView end = readings.last(least_readings);
  LineFit line = fit_line(end);
  if (line.sd_K > straight_scatters * scatter_K) return std::nullopt;
  while (end.size() < readings.size()) {
    const Point& before = readings[readings.size() - end.size() - 1];
    const double off_K = std::abs(before.temperature_degC - line.at(before.time_s));
    if (off_K > off_scatters * scatter_K * further_scatters(end, line, before.time_s)) break;
    end = readings.last(end.size() + 1);
    line = fit_line(end);
  }
  return end.front().time_s;
}

}  // namespace

std::optional<double> steady_from(CurveView fore, const Noise& noise) {
  constexpr std::size_t few_readings = 9;
  constexpr int most_steps = 2;
  constexpr double early_s = 5.0, early_intervals = 1.5;
  auto steady_s = settled_from(fore, noise);
  if (steady_s || fore.size() < 2) return steady_s;
  const double step_s = std::max(early_s, early_intervals * median_interval_s(fore));
  for (int steps = 1; steps <= most_steps && !steady_s; ++steps) {
    const double end_s = fore.back().time_s - steps * step_s;
    steady_s = settled_from(between(fore, fore.front().time_s, end_s), noise);
  }
  if (steady_s || fore.size() >= few_readings) return steady_s;
  steady_s = straight_end_from(fore, noise);
  return steady_s ? steady_s : straight_end_from(fore.first(fore.size() - 1), noise);
}

std::optional<double> settled_from(CurveView readings, const Noise& noise,
                                   const std::optional<FormerCourse>& former) {
  if (readings.empty()) return std::nullopt;
  // Lone knocks say nothing about the drift.
  const KnockFree quiet = without_knocks(readings, noise);
  const CurveView curve = quiet.curve;
  const TailSums sums(curve);
  const double interval_s = median_interval_s(curve);
  const auto long_enough = [&](std::size_t i) {
    return i + least_points <= curve.size() &&
           curve.back().time_s - curve[i].time_s >= least_span_s;
  };
  std::size_t step = 1;
  for (std::size_t i = 0; long_enough(i); i += step) {
    const CurveView tail = curve.subspan(i);
    if (begins_settled(curve, sums, i, noise, interval_s) &&
        (!former || drifts_as_a_leak(tail, *former))) {
      return curve[i].time_s;
    }
    // Candidates need be no closer than a twentieth of the way already gone.
    const double ahead_s = 0.05 * (curve[i].time_s - curve.front().time_s);
    step = 1;
    while (long_enough(i + step) && curve[i + step].time_s - curve[i].time_s < ahead_s) ++step;
  }
  return std::nullopt;
}

}  // namespace nestcup

#include "core/analysis/mixing/step_scan.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace nestcup {
namespace {

constexpr std::array main_lengths_s{0.0, 30.0, 80.0, 160.0, 240.0};
constexpr std::size_t least_fore = 3, least_after = 4;
constexpr double least_fore_s = 39.0;
constexpr double smallest_step_K = 0.08;
constexpr double large_step_K = 1.0;
constexpr double usual_leak_per_s = 1e-3;

/// Sums over a stretch of points.
struct Sums {
  double n = 0.0, x = 0.0, y = 0.0, xx = 0.0, xy = 0.0, yy = 0.0;

  [[nodiscard]] Sums less(const Sums& other) const {
    return {n - other.n, x - other.x, y - other.y, xx - other.xx, xy - other.xy, yy - other.yy};
  }
  [[nodiscard]] double sxx() const { return xx - x * x / n; }
  [[nodiscard]] double sxy() const { return xy - x * y / n; }
  [[nodiscard]] double syy() const { return yy - y * y / n; }
};

/// Sums over the first 0, 1, 2 ... points, about the curve's end.
std::vector<Sums> running_sums(CurveView curve) {
  std::vector<Sums> sums(1);
  for (const Point& point : curve) {
    Sums next = sums.back();
    const double x = point.time_s - curve.back().time_s;
    const double y = point.temperature_degC - curve.back().temperature_degC;
    next.n += 1.0;
    next.x += x;
    next.y += y;
    next.xx += x * x;
    next.xy += x * y;
    next.yy += y * y;
    sums.push_back(next);
  }
  return sums;
}

/// |t| that chance exceeds less than once in 3e5 times (two-sided), from the quantile of the normal
/// distribution, z = 4.65, by the expansion in 1/dof (Abramowitz, Stegun, 26.7.5).
double least_t(double dof) {
  constexpr double z = 4.65, z3 = z * z * z, z5 = z3 * z * z, z7 = z5 * z * z;
  return z + (z3 + z) / (4.0 * dof) + (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * dof * dof) +
         (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * z) / (384.0 * dof * dof * dof);
}

/// Two stretches of the curve, apart from each other.
struct Division {
  Sums fore, after;
  double middle_s = 0.0;  ///< of what lies between them, from the curve's end
};

/// A step, and how many times it is what has to be explained.
struct Weighed {
  FoundStep found;
  double excess = 0.0;
};

/// What a step is measured by.
struct Limits {
  double scatter_K, least_sd_K, least_step_K, span_s;

  [[nodiscard]] bool is_quiet(double sd_K, double dof) const {
    return sd_K <= (1.3 + 2.0 / std::sqrt(dof)) * std::max(least_sd_K, scatter_K);
  }
};

LineFit fore_of(const Sums& fore, double slope_K_per_s, double sxx, double sd_K) {
  LineFit line;
  line.slope_K_per_s = slope_K_per_s;
  line.u_slope_K_per_s = sd_K / std::sqrt(sxx);
  line.u_at_reference_K = sd_K / std::sqrt(fore.n);
  line.sd_K = sd_K;
  line.count = static_cast<std::size_t>(fore.n);
  return line;
}

/// Two stretches with one slope.
FoundStep step_between(const Sums& fore, const Sums& after, double least_sd_K) {
  FoundStep found;
  const double sxx = fore.sxx() + after.sxx();
  const double slope = (fore.sxy() + after.sxy()) / sxx;
  const double apart_s = after.x / after.n - fore.x / fore.n;
  const double squares = fore.syy() + after.syy() - slope * (fore.sxy() + after.sxy());
  found.sd_K = std::max(least_sd_K, std::sqrt(std::max(0.0, squares) / (fore.n + after.n - 3.0)));
  found.step_K = after.y / after.n - fore.y / fore.n - slope * apart_s;
  found.u_K = found.sd_K * std::sqrt(1.0 / fore.n + 1.0 / after.n + apart_s * apart_s / sxx);
  found.fore = fore_of(fore, slope, sxx, found.sd_K);
  return found;
}

/// Slope of one stretch on its own, and its uncertainty.
struct Slope {
  double value, u;
};
Slope slope_of(const Sums& sums, double sd_K) {
  return {sums.sxy() / sums.sxx(), sd_K / std::sqrt(sums.sxx())};
}

/// Whether both stretches are the drift of one leaking cup: where the slope changes by more than a
/// mixing changes it, a heater or a draught began, or something is still dying out.
bool is_one_drift(const Sums& fore, const Sums& after, const FoundStep& found) {
  // A cup far from rest bends and leaks unevenly by as much as a small step; a large one is seen
  // without this look.
  constexpr double near_rest_K_per_s = 2.5e-3;
  if (std::abs(found.fore.slope_K_per_s) > near_rest_K_per_s) return false;
  if (fore.n < 5.0 || after.n < 5.0) return true;
  const Slope before = slope_of(fore, found.sd_K), behind = slope_of(after, found.sd_K);
  if (std::abs(before.value) > near_rest_K_per_s + 3.0 * before.u) return false;
  const double leak_K_per_s = 1e-3 * std::abs(found.step_K) + 0.6 * std::abs(before.value);
  return std::abs(behind.value - before.value) <
         leak_K_per_s + 3.0 * std::hypot(before.u, behind.u);
}

Weighed with_one_slope(const Division& division, const Limits& limits) {
  const Sums &fore = division.fore, &after = division.after;
  const FoundStep found = step_between(fore, after, limits.least_sd_K);
  const double dof = fore.n + after.n - 3.0;
  if (!limits.is_quiet(found.sd_K, dof) || !is_one_drift(fore, after, found)) return {};
  // A drift that bends by leaking away is no step.
  const double bent_K =
      usual_leak_per_s * std::abs(found.fore.slope_K_per_s) * limits.span_s * limits.span_s / 8.0;
  const double wanted_K = std::max(limits.least_step_K, least_t(dof) * found.u_K) + bent_K;
  return {found, std::abs(found.step_K) / wanted_K};
}

/// A large step changes the drift by so much that one slope does not fit both stretches: each has
/// its own, and they are carried on to the middle between them.
Weighed with_two_slopes(const Division& division, const Limits& limits) {
  constexpr double closer = 0.5;  // than with one slope, at most
  const Sums &fore = division.fore, &after = division.after;
  const double before = fore.sxy() / fore.sxx(), behind = after.sxy() / after.sxx();
  const double squares = fore.syy() - before * fore.sxy() + after.syy() - behind * after.sxy();
  const double dof = fore.n + after.n - 4.0;
  const double fore_s = division.middle_s - fore.x / fore.n;
  const double after_s = division.middle_s - after.x / after.n;
  FoundStep found;
  found.sd_K = std::max(limits.least_sd_K, std::sqrt(std::max(0.0, squares) / dof));
  found.step_K = after.y / after.n + behind * after_s - fore.y / fore.n - before * fore_s;
  found.u_K = found.sd_K * std::sqrt(1.0 / fore.n + fore_s * fore_s / fore.sxx() + 1.0 / after.n +
                                     after_s * after_s / after.sxx());
  found.fore = fore_of(fore, before, fore.sxx(), found.sd_K);
  const double u_slopes =
      found.sd_K * std::hypot(1.0 / std::sqrt(fore.sxx()), 1.0 / std::sqrt(after.sxx()));
  const double leak_K_per_s = 1e-3 * std::abs(found.step_K) + 0.6 * std::abs(before);
  const bool is_leak = std::abs(behind - before) < leak_K_per_s + 3.0 * u_slopes;
  const double one_slope_K = step_between(fore, after, limits.least_sd_K).sd_K;
  if (!is_leak || found.sd_K > closer * one_slope_K || !limits.is_quiet(found.sd_K, dof)) return {};
  return {found, std::abs(found.step_K) / std::max(large_step_K, least_t(dof) * found.u_K)};
}

/// The stretch before may go on longer than the best division has it.
void find_onset(CurveView curve, double least_sd_K, FoundStep& found) {
  const CurveView rest = between(curve, found.onset_s, INFINITY);
  const double allowed_K =
      std::min(std::max(3.0 * found.sd_K, 4.4 * least_sd_K), 0.5 * std::abs(found.step_K));
  for (const Point& point : rest) {
    found.onset_s = point.time_s;
    if (std::abs(point.temperature_degC - found.fore.at(point.time_s)) > allowed_K) return;
  }
}

}  // namespace

std::optional<FoundStep> find_step(CurveView curve, const Noise& noise) {
  if (curve.size() < least_fore + least_after) return std::nullopt;
  const std::vector<Sums> sums = running_sums(curve);
  const bool coarse = noise.sd_K < 0.4 * noise.step_K;
  const double least_sd_K = std::max(5e-4, (coarse ? 0.2 : 0.29) * noise.step_K);
  const double end_s = curve.back().time_s;
  const Limits limits{scatter_K(curve, 0.0), least_sd_K,
                      std::max(smallest_step_K, coarse ? 1.6 * noise.step_K : 0.0),
                      end_s - curve.front().time_s};
  std::optional<FoundStep> best;
  double best_excess = 1.0;
  for (std::size_t split = least_fore; split + least_after <= curve.size(); ++split) {
    if (curve[split - 1].time_s - curve.front().time_s < least_fore_s) continue;
    std::size_t before = 0;
    for (const double main_s : main_lengths_s) {
      const CurveView rest = between(curve, curve[split].time_s + main_s, INFINITY);
      if (rest.size() < least_after || rest.size() == before) continue;
      before = rest.size();
      const Sums& fore = sums[split];
      const double middle_s = 0.5 * (curve[split - 1].time_s + rest.front().time_s) - end_s;
      const Division division{fore, sums.back().less(sums[curve.size() - before]), middle_s};
      for (const Weighed& weighed :
           {with_one_slope(division, limits), with_two_slopes(division, limits)}) {
        if (weighed.excess <= best_excess) continue;
        best_excess = weighed.excess;
        best = weighed.found;
        best->onset_s = curve[split].time_s;
        best->fore.reference_s = fore.x / fore.n + end_s;
        best->fore.at_reference_degC = fore.y / fore.n + curve.back().temperature_degC;
      }
    }
  }
  if (best) find_onset(curve, least_sd_K, *best);
  return best;
}

}  // namespace nestcup

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
  found.fore.slope_K_per_s = slope;
  found.fore.u_slope_K_per_s = found.sd_K / std::sqrt(sxx);
  found.fore.u_at_reference_K = found.sd_K / std::sqrt(fore.n);
  found.fore.sd_K = found.sd_K;
  found.fore.count = static_cast<std::size_t>(fore.n);
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
  const double scatter = scatter_K(curve, 0.0);
  const bool coarse = noise.sd_K < 0.4 * noise.step_K;
  const double least_sd_K = std::max(5e-4, (coarse ? 0.2 : 0.29) * noise.step_K);
  const double least_step_K = std::max(smallest_step_K, coarse ? 1.6 * noise.step_K : 0.0);
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
      const Sums after = sums.back().less(sums[curve.size() - before]);
      FoundStep found = step_between(fore, after, least_sd_K);
      // A drift that bends by leaking away is no step.
      const double span_s = curve.back().time_s - curve.front().time_s;
      const double bent_K =
          usual_leak_per_s * std::abs(found.fore.slope_K_per_s) * span_s * span_s / 8.0;
      const double dof = static_cast<double>(split + before) - 3.0;
      const double wanted_K = std::max(least_step_K, least_t(dof) * found.u_K) + bent_K;
      const double excess = std::abs(found.step_K) / wanted_K;
      if (excess <= best_excess || !is_one_drift(fore, after, found)) continue;
      const double most_sd_K = (1.3 + 2.0 / std::sqrt(dof)) * std::max(least_sd_K, scatter);
      if (found.sd_K > most_sd_K) continue;
      best_excess = excess;
      found.onset_s = curve[split].time_s;
      found.fore.reference_s = fore.x / fore.n + curve.back().time_s;
      found.fore.at_reference_degC = fore.y / fore.n + curve.back().temperature_degC;
      best = found;
    }
  }
  if (best) find_onset(curve, least_sd_K, *best);
  return best;
}

}  // namespace nestcup

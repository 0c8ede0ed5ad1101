#include "core/analysis/mixing/watched_line.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr double fastest_leak_per_s = 2e-3;
constexpr std::size_t fit_points = 128;  // thinned to so many: plenty for a line
constexpr std::size_t least_fitted = 3;  // fewer leave a line no scatter

/// Line through `base` without its far-off points, or nothing if it is no line.
std::optional<LineFit> clipped_line(const Curve& base, const Noise& noise) {
  const double scale = std::max(noise.total_K(), 5e-4);
  LineFit fit = fit_line(base);
  Curve kept;
  for (const Point& point : base) {
    if (std::abs(point.temperature_degC - fit.at(point.time_s)) < 4.0 * scale) {
      kept.push_back(point);
    }
  }
  if (kept.size() < base.size() && 4 * kept.size() >= 3 * base.size()) fit = fit_line(kept);
  const auto n = static_cast<double>(fit.count);
  const bool straight = fit.sd_K <= (1.25 + 2.0 / std::sqrt(n)) * scale + 0.25 * noise.step_K;
  return straight ? std::optional(fit) : std::nullopt;
}

/// Noise of the newest readings. Two neighbouring digits tell nothing of it but that it is small
/// beside their step, however often they change: the temperature may lie on the edge between them.
Noise noise_about(CurveView base) {
  constexpr std::size_t telling = 20;  // readings among which noise of that size shows a third
  constexpr double most_of_step = 0.39, two_digits = 1.5;
  const CurveView newest = base.last(std::min(base.size(), noise_points));
  Noise noise = estimate_noise(newest);
  const double most_K = most_of_step * noise.step_K;
  if (noise.sd_K > most_K && newest.size() >= telling &&
      range_K(newest) < two_digits * noise.step_K) {
    noise.sd_K = most_K;
  }
  return noise;
}

/// Digits that change seldom leave level and slope open by parts of a step, however many they are.
void doubt_rounding(double span_s, WatchedLine& line) {
  if (line.noise.sd_K >= 0.4 * line.noise.step_K) return;
  LineFit& fit = line.fit;
  fit.u_at_reference_K = std::max(fit.u_at_reference_K, 0.1 * line.noise.step_K);
  fit.u_slope_K_per_s = std::max(fit.u_slope_K_per_s, 0.5 * line.noise.step_K / span_s);
}

}  // namespace

std::optional<WatchedLine> watched_line(CurveView base, TimeUs origin_us) {
  const Noise noise = noise_about(base);
  const auto fit = clipped_line(thinned(base, fit_points), noise);
  if (!fit) return std::nullopt;
  WatchedLine line{origin_us, *fit, noise};
  doubt_rounding(base.back().time_s - base.front().time_s, line);
  return line;
}

std::optional<WatchedLine> watched_line(CurveView base, TimeUs origin_us,
                                        const Alikeness& alikeness) {
  const Curve own = own_readings(base, alikeness);
  if (own.size() < least_fitted) return std::nullopt;
  auto line = watched_line(own, origin_us);
  if (line) line->own_share = static_cast<double>(own.size()) / static_cast<double>(base.size());
  return line;
}

bool WatchedLine::neighbours_tell_scatter() const {
  constexpr double most = 1.1;
  return fit.sd_K < most * noise.total_K();
}

double shared_rounding_K(const Noise& noise) {
  return noise.sd_K < 0.4 * noise.step_K ? 2.0 * noise.step_K : 0.0;
}

double WatchedLine::distance_K(TimeUs time_us, double temperature_degC) const {
  return temperature_degC - fit.at(to_s(time_us - origin_us));
}

double WatchedLine::line_off_K(TimeUs time_us) const {
  const double time_s = to_s(time_us - origin_us);
  const double lead_s = std::abs(time_s - fit.reference_s);
  // A drift that leaks away bends, the more the longer the line is carried on.
  const double bend = std::max(0.1, 0.5 * fastest_leak_per_s * lead_s);
  return bend * std::abs(fit.slope_K_per_s) * lead_s +
         3.0 * doubt_of_few(fit.count) * fit.u_at(time_s);
}

double WatchedLine::explained_K(TimeUs time_us) const {
  return 4.5 * doubt_of_few(fit.count) * noise.sd_K +
         std::max(1.1 * noise.step_K, shared_rounding_K(noise)) + line_off_K(time_us);
}

double WatchedLine::explained_of_median_K(TimeUs time_us, std::size_t readings) const {
  // The median of normal readings scatters 1.25 times as much as their mean; readings that share
  // their rounding error are off together, by up to half a step, and so may the line be.
  const double own = std::max(1.0, own_share * static_cast<double>(readings));
  const double u_K = 1.25 * noise.total_K() / std::sqrt(own);
  const double rounding_K = shared_rounding_K(noise);
  return std::max(4.5 * doubt_of_few(fit.count) * u_K, rounding_K) + line_off_K(time_us);
}

}  // namespace nestcup

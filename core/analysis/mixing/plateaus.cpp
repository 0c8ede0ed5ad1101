#include "core/analysis/mixing/plateaus.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "core/analysis/readings/knocks.hpp"
#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/settling.hpp"

namespace nestcup {
namespace {

constexpr double least_length_s = 8.0;
/// Shorter ones cannot tell whether they have settled.
constexpr double telling_s = 20.0;
/// Hot liquid in an open vessel, 30 K above the room, cools by a sixtieth of a kelvin in a second.
constexpr double fastest_drift_K_per_s = 0.025;
/// Probes in stirred liquid have lags of 1 to 10 s, in air of 30 s and more (common practice).
constexpr double longest_liquid_lag_s = 15.0;

/// Whether the readings of a window lie on one slow line.
bool is_steady(CurveView window, const Noise& noise) {
  const LineFit line = fit_line(window);
  const double scale_K = std::max(noise.total_K(), 5e-4);
  return line.sd_K < 2.0 * scale_K + 0.25 * noise.step_K &&
         std::abs(line.slope_K_per_s) < fastest_drift_K_per_s + 3.0 * line.u_slope_K_per_s;
}

/// Stretches covered by steady windows.
std::vector<Plateau> steady_stretches(CurveView curve, const Noise& noise, double window_s) {
  std::vector<Plateau> stretches;
  double next_s = curve.front().time_s;
  for (const Point& point : curve) {
    if (point.time_s < next_s) continue;
    next_s = point.time_s + 0.2 * window_s;
    const CurveView window = between(curve, point.time_s, point.time_s + window_s);
    if (window.size() < 4 || !is_steady(window, noise)) continue;
    const double end_s = window.back().time_s;
    if (stretches.empty() || point.time_s > stretches.back().end_s) {
      stretches.push_back({.start_s = point.time_s, .end_s = end_s});
    }
    stretches.back().end_s = end_s;
  }
  return stretches;
}

/// The longest settled part of a stretch; all of one that is too short to tell, and the end of one
/// that is still on its approach. A probe leaves for air so slowly that the first seconds of its
/// way pass for steady.
Plateau longest_within(CurveView curve, const Plateau& stretch, const Noise& noise) {
  constexpr double step_s = 3.0, longest_departure_s = 30.0;
  if (stretch.end_s - stretch.start_s < telling_s) return stretch;
  Plateau longest{.start_s = stretch.start_s, .end_s = stretch.start_s};
  const bool ends = stretch.end_s < curve.back().time_s;
  for (double cut_s = 0.0; cut_s <= (ends ? longest_departure_s : 0.0); cut_s += step_s) {
    const double end_s = stretch.end_s - cut_s;
    const auto settled_s = settled_from(between(curve, stretch.start_s, end_s + 1e-3), noise);
    if (!settled_s || end_s - *settled_s <= longest.end_s - longest.start_s) continue;
    longest.start_s = *settled_s;
    longest.end_s = end_s;
  }
  if (longest.end_s > longest.start_s) return longest;
  constexpr double last_s = 0.95 * telling_s;
  return {.start_s = stretch.end_s - last_s, .end_s = stretch.end_s};
}

/// How the probe came to a plateau: from how far, and with which first-order lag.
struct Coming {
  double way_K = 0.0, lag_s = 0.0;
};

/// Nothing where it came from nearby.
std::optional<Coming> coming_to(CurveView curve, const Plateau& plateau, const Noise& noise) {
  constexpr double longest_s = 60.0, dip_K = 0.1;
  const double end_s = std::min(plateau.end_s, plateau.start_s + 60.0);
  const LineFit line = fit_line(between(curve, plateau.start_s, end_s));
  const CurveView before = between(curve, plateau.start_s - longest_s, plateau.start_s);
  const auto away_K = [&](const Point& point) {
    return std::abs(point.temperature_degC - line.at(point.time_s));
  };
  double most_K = 0.0;
  std::size_t begun = before.size();
  while (begun > 0 && away_K(before[begun - 1]) > most_K - dip_K - 5.0 * noise.total_K()) {
    most_K = std::max(most_K, away_K(before[--begun]));
  }
  const double low_K = std::max(0.1 * most_K, 4.0 * noise.total_K());
  if (most_K < 2.0 * low_K) return std::nullopt;
  double half_s = plateau.start_s, low_s = plateau.start_s;
  for (const Point& point : before.subspan(begun)) {
    if (away_K(point) > 0.5 * most_K) half_s = point.time_s;
    if (away_K(point) > low_K) low_s = point.time_s;
  }
  return Coming{most_K, (low_s - half_s) / std::log(0.5 * most_K / low_K)};
}

/// Whether a short stretch drifts no faster than liquid can, so far from where the probe was
/// before: on its way through the air it pauses, but does not rest.
bool rests(CurveView curve, const Plateau& plateau, const Coming& coming) {
  constexpr double fast_leak_per_s = 1.5e-3;
  const LineFit line = fit_line(between(curve, plateau.start_s, plateau.end_s));
  return coming.lag_s < longest_liquid_lag_s &&
         std::abs(line.slope_K_per_s) < fast_leak_per_s * coming.way_K;
}

}  // namespace

std::vector<Plateau> plateaus(CurveView readings) {
  if (readings.size() < 8) return {};
  const Noise noise = estimate_noise(readings);
  const KnockFree quiet = without_knocks(readings, noise);
  const CurveView curve = quiet.curve;
  const double interval_s = median_interval_s(curve);
  std::vector<Plateau> found;
  for (const Plateau& stretch : steady_stretches(curve, noise, std::max(10.0, 5.0 * interval_s))) {
    Plateau plateau = longest_within(curve, stretch, noise);
    if (plateau.end_s - plateau.start_s < least_length_s) continue;
    const auto coming = coming_to(curve, plateau, noise);
    plateau.plunged = coming && coming->lag_s < longest_liquid_lag_s;
    plateau.in_liquid = !coming || plateau.plunged;
    if (plateau.end_s - plateau.start_s < telling_s &&
        !(coming && rests(curve, plateau, *coming))) {
      continue;
    }
    found.push_back(plateau);
  }
  return found;
}

}  // namespace nestcup

#include "core/analysis/readings/knocks.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr std::size_t flank = 2;  // readings on either side that tell what is expected
constexpr std::size_t most_readings = 3;
constexpr double longest_s = 3.0;
constexpr double factor = 6.0;

/// Lowest and highest of what the flanks show and, carried on in a line, expect.
struct Expected {
  double low = INFINITY, high = -INFINITY;

  void widen(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
  void widen(const Point& far, const Point& near, double time_s) {
    widen(far.temperature_degC);
    widen(near.temperature_degC);
    // A peak is no knock: from the far side it is where the line behind it leads.
    const double slope =
        (near.temperature_degC - far.temperature_degC) / (near.time_s - far.time_s);
    widen(near.temperature_degC + slope * (time_s - near.time_s));
  }
};

/// By how much the stretch [from, to) lies beyond its flanks, K; 0 where it does not.
double beyond_K(CurveView curve, std::size_t from, std::size_t to) {
  Expected expected;
  expected.widen(curve[from - 2], curve[from - 1], curve[from].time_s);
  expected.widen(curve[to + 1], curve[to], curve[to - 1].time_s);
  double low = INFINITY, high = -INFINITY;
  for (std::size_t i = from; i < to; ++i) {
    low = std::min(low, curve[i].temperature_degC);
    high = std::max(high, curve[i].temperature_degC);
  }
  return std::max({0.0, low - expected.high, expected.low - high});
}

}  // namespace

KnockFree without_knocks(CurveView curve, const Noise& noise) {
  const double allowed_K = factor * std::max(noise.sd_K, 1e-3) + 1.01 * noise.step_K;
  KnockFree kept;
  kept.curve.reserve(curve.size());
  std::size_t i = 0;
  while (i < curve.size()) {
    std::size_t knocked = 0;
    for (std::size_t to = i + 1; i >= flank && to + flank <= curve.size(); ++to) {
      const bool short_enough =
          to - i <= most_readings || curve[to - 1].time_s - curve[i].time_s <= longest_s;
      // Beyond the first reading of a knock the rest must stand out, too.
      if (!short_enough ||
          std::abs(curve[i].temperature_degC - curve[i - 1].temperature_degC) < allowed_K) {
        break;
      }
      if (beyond_K(curve, i, to) > allowed_K) {
        knocked = to - i;
        break;
      }
    }
    if (knocked > 0) {
      kept.knocks += 1;
      kept.readings += knocked;
      const CurveView left_out = curve.subspan(i, knocked);
      kept.left_out.insert(kept.left_out.end(), left_out.begin(), left_out.end());
      i += knocked;
    } else {
      kept.curve.push_back(curve[i]);
      ++i;
    }
  }
  return kept;
}

}  // namespace nestcup

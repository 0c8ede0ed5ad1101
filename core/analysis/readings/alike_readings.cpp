#include "core/analysis/readings/alike_readings.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>
#include <span>
#include <vector>

#include "core/analysis/readings/display_step.hpp"
#include "core/analysis/readings/held_values.hpp"

namespace nestcup {
namespace {

constexpr std::size_t least_readings = 40, readings_per_lag = 15;
constexpr std::array<std::size_t, 14> lags{1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24, 32, 40};

/// Squared distances of the readings to the line through those `lag` readings before and behind.
std::vector<double> distances_K2(CurveView curve, std::size_t lag) {
  std::vector<double> squares;
  squares.reserve(curve.size());
  for (std::size_t i = lag; i + lag < curve.size(); ++i) {
    const double middle = 0.5 * (curve[i - lag].temperature_degC + curve[i + lag].temperature_degC);
    squares.push_back(std::pow(curve[i].temperature_degC - middle, 2));
  }
  return squares;
}

/// Variance of the readings as these distances tell it. The larger two fifths are left out: knocks,
/// and what is no drift.
double variance_K2(CurveView curve, std::size_t lag) {
  // Mean square of the smaller three fifths of a normal variable: 1 - 2 z phi(z) / 0.6, z = 0.842.
  constexpr double of_smaller = 0.2145, of_distance = 1.5;
  std::vector<double> squares = distances_K2(curve, lag);
  const std::size_t kept = squares.size() * 3 / 5;
  const auto end = squares.begin() + static_cast<std::ptrdiff_t>(kept);
  std::nth_element(squares.begin(), end, squares.end());
  return std::accumulate(squares.begin(), end, 0.0) /
         (static_cast<double>(kept) * of_smaller * of_distance);
}

/// Whether next to no distance is longer than a step: rounding alone makes none that is, and all
/// are whole multiples of half a step.
bool digits_hide(CurveView curve, std::size_t lag, double step_K) {
  constexpr double nearly_all = 0.98, one_step = 1.25;
  const double most_K2 = std::pow(one_step * step_K, 2);
  const std::vector<double> squares = distances_K2(curve, lag);
  const auto shorter = static_cast<double>(std::count_if(
      squares.begin(), squares.end(), [&](double square) { return square < most_K2; }));
  return shorter > nearly_all * static_cast<double>(squares.size());
}

/// Variances at lags up to where they jump, as no scatter's do: the course bends, or the probe is
/// carried.
std::vector<double> variances_K2(CurveView quiet, std::span<const std::size_t> at, double step_K) {
  constexpr double most_growth = 12.0;
  double before_K2 = step_K * step_K / 12.0;  // of rounding, which neighbours can share
  std::vector<double> found_K2;
  for (const std::size_t lag : at) {
    if (readings_per_lag * lag > quiet.size()) break;
    const double variance = variance_K2(quiet, lag);
    if (lag > 1 && variance > most_growth * before_K2) break;
    before_K2 = std::max(before_K2, variance);
    found_K2.push_back(variance);
  }
  return found_K2;
}

/// Their geometric means, where both stretches tell something.
std::vector<double> of_both(const std::vector<double>& one_K2,
                            const std::vector<double>& other_K2) {
  if (other_K2.empty()) return one_K2;
  std::vector<double> both_K2;
  for (std::size_t i = 0; i < std::min(one_K2.size(), other_K2.size()); ++i) {
    both_K2.push_back(std::sqrt(one_K2[i] * other_K2[i]));
  }
  return both_K2;
}

/// Growth of the variance to this lag that so many readings show by chance, in `chance` deviations.
double most_by_chance(std::size_t lag, std::size_t readings, double chance) {
  constexpr double factor = 1.5;
  return factor + chance * std::sqrt(static_cast<double>(lag) / static_cast<double>(readings));
}

/// Whether the variance at some longer lag exceeds that at the first, in both stretches and more so
/// in both together. Doublings of the lag will do: what is alike over three readings is so over
/// four.
bool grows(CurveView quiet, CurveView also, double step_K) {
  constexpr std::array<std::size_t, 6> doublings{1, 2, 4, 8, 16, 32};
  const std::vector<double> one_K2 = variances_K2(quiet, doublings, step_K);
  const std::vector<double> other_K2 = variances_K2(also, doublings, step_K);
  const std::vector<double> both_K2 = of_both(one_K2, other_K2);
  const auto exceeds = [&](std::size_t i, const std::vector<double>& found_K2, std::size_t readings,
                           double chance) {
    return found_K2[i] > most_by_chance(doublings[i], readings, chance) * found_K2[0];
  };
  for (std::size_t i = 1; i < both_K2.size(); ++i) {
    if (exceeds(i, both_K2, quiet.size() + also.size(), 4.0) &&
        exceeds(i, one_K2, quiet.size(), 2.0) &&
        (other_K2.empty() || exceeds(i, other_K2, also.size(), 2.0))) {
      return true;
    }
  }
  return false;
}

}  // namespace

std::size_t readings_apart(CurveView quiet, CurveView also) {
  constexpr double nearly_all = 0.8;
  if (quiet.size() < least_readings) return 1;
  if (also.size() < least_readings) also = {};
  const double step_K = display_step(quiet).step_K;
  if (!grows(quiet, also, step_K)) return 1;
  const std::vector<double> found_K2 =
      of_both(variances_K2(quiet, lags, step_K), variances_K2(also, lags, step_K));
  auto own = found_K2.begin();
  while (*own < nearly_all * *std::max_element(own, found_K2.end())) ++own;
  const std::size_t apart = lags[static_cast<std::size_t>(own - found_K2.begin())];
  // The staircase of a display that hides its noise is alike, and rounding accounts for that.
  return digits_hide(quiet, apart, step_K) ? 1 : apart;
}

Alikeness alikeness_of(CurveView quiet) {
  Alikeness found;
  found.times_said = times_said(quiet);
  found.apart = readings_apart(without_repeats({quiet.begin(), quiet.end()}, found.times_said), {});
  return found;
}

Curve own_readings(CurveView curve, const Alikeness& alikeness) {
  const Curve news = without_repeats({curve.begin(), curve.end()}, alikeness.times_said);
  return taken_apart(news, alikeness.apart);
}

Curve taken_apart(CurveView curve, std::size_t apart) {
  Curve taken;
  for (std::size_t i = curve.empty() ? 0 : (curve.size() - 1) % apart; i < curve.size();
       i += apart) {
    taken.push_back(curve[i]);
  }
  return taken;
}

}  // namespace nestcup

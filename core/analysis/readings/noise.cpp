#include "core/analysis/readings/noise.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace nestcup {
namespace {

constexpr std::size_t few_readings = 12;
constexpr std::size_t few_standing = 6;
constexpr double least_K = 5e-4;  // scatter of the quietest probe

/// Steps that displays and converters have (K), the largest first.
constexpr std::array usual_steps_K{0.125, 0.1,      0.0625, 0.05,  0.03125, 0.025,
                                   0.02,  0.015625, 0.01,   0.005, 0.002,   0.001};

/// Largest usual step of which all of `values` are multiples; 0 where there is none.
double usual_step_K(const std::vector<double>& values) {
  for (const double step : usual_steps_K) {
    const bool fits = std::all_of(values.begin(), values.end(), [&](double value) {
      const double count = value / step;
      return std::abs(count - std::round(count)) < 1e-4;
    });
    if (fits) return step;
  }
  return 0.0;
}

}  // namespace

double Noise::total_K() const {
  return std::sqrt(sd_K * sd_K + step_K * step_K / 12.0);
}

double display_step_K(CurveView curve) {
  std::vector<double> values;
  values.reserve(curve.size());
  for (const Point& point : curve) values.push_back(point.temperature_degC);
  std::sort(values.begin(), values.end());
  constexpr double same_K = 1e-6;
  std::vector<double> jumps;
  for (std::size_t i = 1; i < values.size(); ++i) {
    if (values[i] - values[i - 1] > same_K) jumps.push_back(values[i] - values[i - 1]);
  }
  // One digit, or two, tell no common measure; but a display that stands still rounds.
  if (jumps.size() < 2) return values.size() < few_standing ? 0.0 : usual_step_K(values);
  const double smallest = *std::min_element(jumps.begin(), jumps.end());
  // The smallest jump is the step if every other one is a whole multiple of it. Values that are
  // no multiples of anything fail this soon.
  double multiples = 0.0, length = 0.0;
  for (const double jump : jumps) {
    const double count = std::round(jump / smallest);
    // Among few values two may be further apart than one step everywhere.
    if (std::abs(jump - count * smallest) > 0.02 * smallest * std::min(count, 5.0)) {
      return usual_step_K(values);
    }
    multiples += count;
    length += jump;
  }
  return length / multiples;
}

double scatter_K(CurveView curve, double step_K) {
  std::vector<double> squares;
  squares.reserve(curve.size());
  for (std::size_t i = 1; i + 1 < curve.size(); ++i) {
    const Point &before = curve[i - 1], &here = curve[i], &after = curve[i + 1];
    const double share = (here.time_s - before.time_s) / (after.time_s - before.time_s);
    const double distance = here.temperature_degC - (1.0 - share) * before.temperature_degC -
                            share * after.temperature_degC;
    const double weight = 1.0 + (1.0 - share) * (1.0 - share) + share * share;
    squares.push_back(distance * distance / weight);
  }
  if (squares.size() < 3) return 0.0;
  const std::size_t kept = squares.size() - squares.size() / 10;
  std::nth_element(squares.begin(), squares.begin() + static_cast<std::ptrdiff_t>(kept - 1),
                   squares.end());
  double sum = 0.0;
  for (std::size_t i = 0; i < kept; ++i) sum += squares[i];
  // Mean square of a normal variable with its largest tenth cut off: 1 - 2 z phi(z) / 0.9 at
  // z = 1.645 gives 0.623.
  const double trimmed = kept < squares.size() ? 0.623 : 1.0;
  const double variance = sum / static_cast<double>(kept) / trimmed;
  return std::sqrt(std::max(0.0, variance - step_K * step_K / 12.0));
}

Noise estimate_noise(CurveView curve) {
  Noise noise;
  noise.step_K = display_step_K(curve);
  noise.sd_K = scatter_K(curve, noise.step_K);
  return noise;
}

Noise estimate_run_noise(CurveView curve, double quiet_until_s) {
  // Of so many readings a probe's way into the cup is less than the tenth that is left out.
  constexpr std::size_t telling = 30;
  // By chance a dozen readings tell a scatter of half and less of theirs.
  constexpr double most_of_end = 3.5, doubt = 1.5;
  if (curve.empty()) return {};
  const CurveView quiet = between(curve, curve.front().time_s, quiet_until_s);
  const double step_K = display_step_K(curve);
  const Noise before{scatter_K(quiet, step_K), step_K};
  if (quiet.size() >= telling) return before;
  const CurveView end = curve.last(std::min(curve.size(), few_readings));
  const Noise behind{scatter_K(end, step_K), step_K};
  // What scatters so much more than the end of the run is a probe or a cup on its way.
  if (before.total_K() > most_of_end * std::max(behind.total_K(), least_K)) {
    return {doubt * std::max(behind.sd_K, least_K), step_K};
  }
  if (quiet.size() >= few_readings) return before;
  // A mixing among few readings would pass for scatter: the run's end is quiet, too.
  return before.sd_K > 0.0 ? Noise{std::hypot(before.sd_K, behind.sd_K) / std::sqrt(2.0), step_K}
                           : behind;
}

double doubt_of_few(std::size_t count) {
  return 1.0 + 3.0 / static_cast<double>(std::max<std::size_t>(1, count));
}

double range_K(CurveView curve) {
  const auto [lowest, highest] = std::ranges::minmax(curve, {}, &Point::temperature_degC);
  return highest.temperature_degC - lowest.temperature_degC;
}

}  // namespace nestcup

#include "core/analysis/readings/noise.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/display_step.hpp"

namespace nestcup {
namespace {

constexpr std::size_t few_readings = 12;
constexpr double least_K = 5e-4;  // scatter of the quietest probe

}  // namespace

double Noise::total_K() const {
  return std::sqrt(sd_K * sd_K + step_K * step_K / 12.0);
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
  noise.step_K = display_step(curve).step_K;
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
  const double step_K = display_step(curve).step_K;
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

#include "core/classroom/robust.hpp"

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <cassert>
#include <cmath>

namespace nestcup {

namespace {

constexpr double cut_in_sd = 1.5;

struct Plain {
  double mean = 0.0, sd = 0.0;
};

Plain plain_figures(std::span<const double> values) {
  const double count = static_cast<double>(values.size());
  Plain plain;
  for (const double value : values) plain.mean += value / count;
  double squares = 0.0;
  for (const double value : values) squares += (value - plain.mean) * (value - plain.mean);
  plain.sd = std::sqrt(squares / (count - 1.0));
  return plain;
}

}  // namespace

double median_of(std::span<const double> values) {
  assert(!values.empty());
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const std::size_t half = sorted.size() / 2;
  return sorted.size() % 2 == 1 ? sorted[half] : 0.5 * (sorted[half - 1] + sorted[half]);
}

double scaled_mad_of(std::span<const double> values) {
  const double middle = median_of(values);
  std::vector<double> distances;
  for (const double value : values) distances.push_back(std::abs(value - middle));
  static const double to_sd = 1.0 / boost::math::quantile(boost::math::normal(), 0.75);
  return to_sd * median_of(distances);
}

RobustFigures algorithm_a(std::span<const double> values) {
  assert(values.size() >= 2);
  RobustFigures robust{median_of(values), scaled_mad_of(values), 0.0};
  // Half of the values may be equal by rounding: the others still spread.
  if (robust.sd == 0.0) robust.sd = plain_figures(values).sd;
  std::vector<double> cut(values.size());
  constexpr int patience = 10'000;
  for (int step = 0; step < patience && robust.sd > 0.0; ++step) {
    const double reach = cut_in_sd * robust.sd;
    std::transform(values.begin(), values.end(), cut.begin(), [&](double value) {
      return std::clamp(value, robust.mean - reach, robust.mean + reach);
    });
    const Plain next = plain_figures(cut);
    const double change =
        std::abs(next.mean - robust.mean) + std::abs(algorithm_a_factor * next.sd - robust.sd);
    robust = {next.mean, algorithm_a_factor * next.sd, 0.0};
    if (change <= 1e-12 * robust.sd) break;
  }
  robust.u_mean = 1.25 * robust.sd / std::sqrt(static_cast<double>(values.size()));
  return robust;
}

}  // namespace nestcup

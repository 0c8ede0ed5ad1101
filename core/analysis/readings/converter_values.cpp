#include "core/analysis/readings/converter_values.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <optional>
#include <utility>
#include <vector>

#include "core/analysis/readings/display_step.hpp"
#include "core/analysis/readings/line_fit.hpp"

namespace nestcup {
namespace {

/// Steps of usual converters, whose values are their multiples (K), the largest first; a tenth and
/// two tenths of a degree Fahrenheit among them (32 of those degrees are whole multiples, too).
constexpr std::array steps_K{0.5, 0.25, 0.125, 1.0 / 9.0, 0.0625, 1.0 / 18.0, 0.03125, 0.015625};
constexpr double equal_K = 1e-6;

struct Lattice {
  double step_K = 0.0;
  double cut_off_K = 0.0;  ///< mean of what was cut off for printing

  [[nodiscard]] double nearest(double value) const {
    return std::round((value + cut_off_K) / step_K) * step_K;
  }
};

/// The last decimal that was printed, K; nothing where there are more than three.
std::optional<double> printed_decimal_K(const std::vector<double>& values) {
  for (const double decimal_K : {0.1, 0.01, 0.001}) {
    if (are_multiples(values, decimal_K)) return decimal_K;
  }
  return std::nullopt;
}

bool is_of(const Lattice& lattice, const std::vector<double>& values, double decimal_K) {
  return std::all_of(values.begin(), values.end(), [&](double value) {
    const double off_K = value + lattice.cut_off_K - lattice.nearest(value);
    return std::abs(off_K) <= 0.5 * decimal_K + equal_K;
  });
}

std::optional<Lattice> lattice_of(const std::vector<double>& values, double decimal_K) {
  // A value lies by chance where one of the step may; some decimals lie between two.
  constexpr double least_chance = 1e-4, with_ties = 1.3;
  for (const double step_K : steps_K) {
    const double share = with_ties * decimal_K / step_K;
    if (std::pow(share, static_cast<double>(values.size())) > least_chance) continue;
    for (const double cut_off_K : {0.0, 0.5 * decimal_K}) {
      const Lattice lattice{step_K, cut_off_K};
      if (is_of(lattice, values, decimal_K)) return lattice;
    }
  }
  return std::nullopt;
}

/// Stretches of neighbouring values, each with its number of steps from the first (a point's time).
std::vector<Curve> stretches(const std::vector<double>& values, double step_K) {
  constexpr double widest_steps = 3.4;  // more could not be counted
  std::vector<Curve> out(1);
  for (const double value : values) {
    double count = 0.0;
    if (!out.back().empty()) {
      const Point& last = out.back().back();
      const double steps = (value - last.temperature_degC) / step_K;
      if (steps < widest_steps) {
        count = last.time_s + std::max(1.0, std::round(steps));
      } else {
        out.emplace_back();
      }
    }
    out.back().push_back({count, value});
  }
  return out;
}

/// A converter's steps change slowly: each value lies on the line through its neighbours, not
/// farther off than printing has moved it.
void straighten(const Curve& stretch, double decimal_K, std::map<double, double>& places) {
  constexpr std::size_t either_side = 8, least = 3;
  if (stretch.size() < least) return;
  for (std::size_t i = 0; i < stretch.size(); ++i) {
    const std::size_t first = i > either_side ? i - either_side : 0;
    const std::size_t end = std::min(stretch.size(), i + either_side + 1);
    const LineFit line = fit_line(CurveView(stretch).subspan(first, end - first));
    const double printed = stretch[i].temperature_degC;
    places[printed] = std::clamp(line.at(stretch[i].time_s), printed - 0.5 * decimal_K,
                                 printed + 0.5 * decimal_K);
  }
}

/// The curve with its values where straight stretches have them.
Curve straightened(Curve curve, const std::vector<double>& values, double step_K,
                   double decimal_K) {
  std::map<double, double> places;
  for (const Curve& stretch : stretches(values, step_K)) straighten(stretch, decimal_K, places);
  for (Point& point : curve) {
    const auto place = places.find(point.temperature_degC);
    if (place != places.end()) point.temperature_degC = place->second;
  }
  return curve;
}

}  // namespace

Converted as_converted(Curve curve) {
  constexpr std::size_t telling = 5;
  std::vector<double> values;
  values.reserve(curve.size());
  for (const Point& point : curve) values.push_back(point.temperature_degC);
  const auto decimal_K = printed_decimal_K(values);
  if (!decimal_K) {
    const double uneven_K = display_step(curve).uneven_K;
    return {std::move(curve), uneven_K};
  }
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
  if (values.size() < telling) return {std::move(curve), 0.0};
  if (const auto lattice = lattice_of(values, *decimal_K)) {
    for (Point& point : curve) point.temperature_degC = lattice->nearest(point.temperature_degC);
    return {std::move(curve), 0.0};
  }
  const DisplayStep step = display_step(curve);
  if (step.uneven_K == 0.0) return {std::move(curve), 0.0};
  return {straightened(std::move(curve), values, step.step_K, *decimal_K), step.uneven_K};
}

}  // namespace nestcup

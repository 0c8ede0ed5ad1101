#include "core/analysis/rise/hand_line.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/line_fit.hpp"

namespace nestcup {
namespace {

constexpr int every_s = 20;

double to_tenth(double temperature_degC) {
  return std::round(temperature_degC * 10.0) / 10.0;
}

/// The last reading at or before `time_s`, as a person reads it off.
std::optional<double> read_off(CurveView cup, double time_s) {
  const auto after =
      std::upper_bound(cup.begin(), cup.end(), time_s,
                       [](double time, const Point& point) { return time < point.time_s; });
  if (after == cup.begin()) return std::nullopt;
  return to_tenth(std::prev(after)->temperature_degC);
}

/// The line behind the mixing, carried back to it, less the cup's temperature before.
std::optional<double> rise_K(CurveView cup, double mixing_s, double before_degC) {
  Curve noted;
  for (int after = every_s; after <= 180; after += every_s) {
    if (mixing_s + after > cup.back().time_s) break;
    noted.push_back({static_cast<double>(after), *read_off(cup, mixing_s + after)});
  }
  if (noted.size() < 3) return std::nullopt;
  const auto colder = [](const Point& a, const Point& b) {
    return a.temperature_degC < b.temperature_degC;
  };
  const bool rising = noted.back().temperature_degC > before_degC;
  const auto extremum = rising ? std::max_element(noted.begin(), noted.end(), colder)
                               : std::min_element(noted.begin(), noted.end(), colder);
  const CurveView rest =
      CurveView(noted).subspan(static_cast<std::size_t>(std::distance(noted.begin(), extremum)));
  if (rest.size() < 3) return std::nullopt;
  return fit_line(rest).at(0.0) - before_degC;
}

}  // namespace

std::optional<double> hand_line_K(CurveView cup, double mixing_s) {
  const auto before = read_off(cup, mixing_s - 2.0);
  return before ? rise_K(cup, mixing_s, *before) : std::nullopt;
}

std::optional<double> hand_lines_K(CurveView cup, double mixing_s) {
  Curve noted;
  double next_s = -INFINITY;
  for (const Point& point : between(cup, -INFINITY, mixing_s)) {
    if (point.time_s < next_s) continue;
    noted.push_back({point.time_s, to_tenth(point.temperature_degC)});
    next_s = point.time_s + every_s;
  }
  if (noted.size() < 3) return std::nullopt;
  return rise_K(cup, mixing_s, fit_line(noted).at(mixing_s));
}

}  // namespace nestcup

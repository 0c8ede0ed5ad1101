#include "core/analysis/hand_line.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/line_fit.hpp"

namespace nestcup {
namespace {

/// The last reading at or before `time_s`, as a person reads it off.
std::optional<double> read_off(CurveView cup, double time_s) {
  const auto after =
      std::upper_bound(cup.begin(), cup.end(), time_s,
                       [](double time, const Point& point) { return time < point.time_s; });
  if (after == cup.begin()) return std::nullopt;
  return std::round(std::prev(after)->temperature_degC * 10.0) / 10.0;
}

}  // namespace

std::optional<double> hand_line_K(CurveView cup, double mixing_s) {
  const auto before = read_off(cup, mixing_s - 2.0);
  if (!before) return std::nullopt;
  Curve noted;
  for (int after = 20; after <= 180; after += 20) {
    if (mixing_s + after > cup.back().time_s) break;
    noted.push_back({static_cast<double>(after), *read_off(cup, mixing_s + after)});
  }
  if (noted.size() < 3) return std::nullopt;
  const auto colder = [](const Point& a, const Point& b) {
    return a.temperature_degC < b.temperature_degC;
  };
  const bool rising = noted.back().temperature_degC > *before;
  const auto extremum = rising ? std::max_element(noted.begin(), noted.end(), colder)
                               : std::min_element(noted.begin(), noted.end(), colder);
  const CurveView rest =
      CurveView(noted).subspan(static_cast<std::size_t>(std::distance(noted.begin(), extremum)));
  if (rest.size() < 3) return std::nullopt;
  return fit_line(rest).at(0.0) - *before;
}

}  // namespace nestcup

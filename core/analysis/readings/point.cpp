#include "core/analysis/readings/point.hpp"

#include <algorithm>

namespace nestcup {

CurveView between(CurveView curve, double from_s, double to_s) {
  const auto before = [](const Point& point, double time_s) { return point.time_s < time_s; };
  const auto first = std::lower_bound(curve.begin(), curve.end(), from_s, before);
  const auto last = std::lower_bound(first, curve.end(), to_s, before);
  return {first, last};
}

double median_of(std::vector<double> values) {
  if (values.empty()) return 0.0;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  if (values.size() % 2 == 1) return *middle;
  return 0.5 * (*middle + *std::max_element(values.begin(), middle));
}

double interpolated_degC(const Point& before, const Point& behind, double time_s) {
  const double share = (time_s - before.time_s) / (behind.time_s - before.time_s);
  return before.temperature_degC + share * (behind.temperature_degC - before.temperature_degC);
}

double median_interval_s(CurveView curve) {
  std::vector<double> gaps;
  for (std::size_t i = 1; i < curve.size(); ++i) {
    gaps.push_back(curve[i].time_s - curve[i - 1].time_s);
  }
  return median_of(std::move(gaps));
}

Curve thinned(CurveView curve, std::size_t most) {
  if (curve.size() <= most) return {curve.begin(), curve.end()};
  const std::size_t stride = (curve.size() + most - 1) / most;
  Curve kept;
  // Counted from the newest end, so that the choice does not depend on when the log began.
  for (std::size_t i = curve.size(); i > 0; i -= std::min(i, stride)) kept.push_back(curve[i - 1]);
  std::reverse(kept.begin(), kept.end());
  return kept;
}

}  // namespace nestcup

#include "core/analysis/course/stamp_scatter.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr std::size_t least_readings = 5;

}  // namespace

double stamp_scatter_s(CurveView curve) {
  const double median_s = median_interval_s(curve);
  if (curve.size() < least_readings || median_s <= 0.0) return 0.0;
  double squares_s2 = 0.0;
  for (std::size_t i = 1; i < curve.size(); ++i) {
    const double interval_s = curve[i].time_s - curve[i - 1].time_s;
    const double readings = std::max(1.0, std::round(interval_s / median_s));
    squares_s2 += std::pow(interval_s - readings * median_s, 2);
  }
  return std::sqrt(0.5 * squares_s2 / static_cast<double>(curve.size() - 1));
}

double stamped_scatter_K(CurveView curve, const MixingCourse& course, double stamp_scatter_s) {
  if (curve.empty() || stamp_scatter_s == 0.0) return 0.0;
  double squares_K2 = 0.0;
  for (const Point& point : curve) {
    // As far as stamps are off: a course has kinks, and no slope there.
    const double way_K =
        course.at(point.time_s + stamp_scatter_s) - course.at(point.time_s - stamp_scatter_s);
    squares_K2 += 0.25 * way_K * way_K;
  }
  return std::sqrt(squares_K2 / static_cast<double>(curve.size()));
}

}  // namespace nestcup

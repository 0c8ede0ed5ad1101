#include "core/analysis/course/course_misfit.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {

double squares_K2(CurveView curve, const MixingCourse& course) {
  double squares = 0.0;
  for (const Point& point : curve) {
    const double residual = point.temperature_degC - course.at(point.time_s);
    squares += residual * residual;
  }
  return squares;
}

double misfit_K(CurveView curve, const MixingCourse& course) {
  const auto n = static_cast<double>(std::max<std::size_t>(1, curve.size()));
  return std::sqrt(squares_K2(curve, course) / n);
}

}  // namespace nestcup

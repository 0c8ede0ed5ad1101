#include "core/analysis/readings/line_fit.hpp"

#include <cmath>

namespace nestcup {

double LineFit::at(double time_s) const {
  return at_reference_degC + slope_K_per_s * (time_s - reference_s);
}

double LineFit::u_at(double time_s) const {
  return std::hypot(u_at_reference_K, u_slope_K_per_s * (time_s - reference_s));
}

LineFit fit_line(CurveView curve) {
  LineFit fit;
  fit.count = curve.size();
  if (curve.empty()) return fit;
  const auto n = static_cast<double>(curve.size());
  double sum_t = 0.0, sum_T = 0.0;
  for (const Point& point : curve) {
    sum_t += point.time_s;
    sum_T += point.temperature_degC;
  }
  fit.reference_s = sum_t / n;
  fit.at_reference_degC = sum_T / n;
  double sxx = 0.0, sxy = 0.0;
  for (const Point& point : curve) {
    const double x = point.time_s - fit.reference_s;
    sxx += x * x;
    sxy += x * (point.temperature_degC - fit.at_reference_degC);
  }
  if (sxx <= 0.0) return fit;
  fit.slope_K_per_s = sxy / sxx;
  if (curve.size() < 3) return fit;
  double squares = 0.0;
  for (const Point& point : curve) {
    const double residual = point.temperature_degC - fit.at(point.time_s);
    squares += residual * residual;
  }
  fit.sd_K = std::sqrt(squares / (n - 2.0));
  fit.u_at_reference_K = fit.sd_K / std::sqrt(n);
  fit.u_slope_K_per_s = fit.sd_K / std::sqrt(sxx);
  return fit;
}

}  // namespace nestcup

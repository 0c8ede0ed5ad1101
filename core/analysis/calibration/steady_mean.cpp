#include "core/analysis/calibration/steady_mean.hpp"

#include <cmath>

#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"

namespace nestcup {

SteadyMean steady_mean(CurveView curve) {
  SteadyMean out;
  out.count = curve.size();
  if (curve.empty()) return out;
  double sum = 0.0;
  const double first_degC = curve.front().temperature_degC;
  for (const Point& point : curve) sum += point.temperature_degC - first_degC;
  out.mean_degC = first_degC + sum / static_cast<double>(curve.size());
  out.span_s = curve.back().time_s - curve.front().time_s;
  if (curve.size() < 3) return out;
  const LineFit line = fit_line(curve);
  out.sd_K = line.sd_K;
  out.drift_K_per_min = 60.0 * line.slope_K_per_s;
  const double step_K = estimate_noise(curve).step_K;
  out.rounding_u_K = line.sd_K < 0.4 * step_K ? step_K / std::sqrt(12.0) : 0.0;
  const double drift_K = line.slope_K_per_s * out.span_s / std::sqrt(12.0);
  const double scatter_K = line.sd_K / std::sqrt(static_cast<double>(curve.size()));
  out.u_K = std::hypot(scatter_K, out.rounding_u_K, drift_K);
  return out;
}

}  // namespace nestcup

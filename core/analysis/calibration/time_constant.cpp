#include "core/analysis/calibration/time_constant.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr double least_step_K = 2.0;
/// Of the whole way: where the fit begins, and where the approach counts as over.
constexpr double begins_at = 0.1, ends_at = 0.95;
constexpr std::size_t least_approach = 5;

double mean_of(CurveView curve) {
  double sum = 0.0;
  for (const Point& point : curve) sum += point.temperature_degC;
  return sum / static_cast<double>(curve.size());
}

/// The exponential that is best at this time constant, and its sum of squares.
struct Exponential {
  double final_degC = 0.0, amplitude_K = 0.0, squares = 0.0;
};

Exponential best_at(CurveView curve, double tau_s) {
  const auto n = static_cast<double>(curve.size());
  double se = 0.0, see = 0.0, st = 0.0, set = 0.0;
  const double start_s = curve.front().time_s, level_degC = curve.back().temperature_degC;
  for (const Point& point : curve) {
    const double e = std::exp(-(point.time_s - start_s) / tau_s);
    const double t = point.temperature_degC - level_degC;
    se += e, see += e * e, st += t, set += e * t;
  }
  const double determinant = n * see - se * se;
  Exponential out;
  out.amplitude_K = (n * set - se * st) / determinant;
  out.final_degC = level_degC + (st - out.amplitude_K * se) / n;
  for (const Point& point : curve) {
    const double e = std::exp(-(point.time_s - start_s) / tau_s);
    out.squares += std::pow(point.temperature_degC - out.final_degC - out.amplitude_K * e, 2);
  }
  return out;
}

/// Golden section over the logarithm of the time constant.
double best_tau_s(CurveView curve) {
  const double span_s = curve.back().time_s - curve.front().time_s;
  const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
  double low = std::log(1e-3 * span_s), high = std::log(2.0 * span_s);
  for (int turn = 0; turn < 80; ++turn) {
    const double inner = golden * (high - low);
    const double left = best_at(curve, std::exp(high - inner)).squares;
    const double right = best_at(curve, std::exp(low + inner)).squares;
    (left < right ? high : low) = left < right ? low + inner : high - inner;
  }
  return std::exp(0.5 * (low + high));
}

double u_tau_s(CurveView curve, const Exponential& fit, double tau_s, double sd_K) {
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  for (const Point& point : curve) {
    const double after_s = point.time_s - curve.front().time_s;
    const double e = std::exp(-after_s / tau_s);
    const Eigen::Vector3d row(1.0, e, fit.amplitude_K * e * after_s / (tau_s * tau_s));
    normal += row * row.transpose();
  }
  return sd_K * std::sqrt(std::max(0.0, normal.inverse()(2, 2)));
}

}  // namespace

std::optional<PlungeFit> fit_plunge(CurveView curve) {
  if (curve.size() < 2 * least_approach) return std::nullopt;
  const std::size_t few = std::max<std::size_t>(3, curve.size() / 20);
  const double from_degC = mean_of(curve.first(few)), to_degC = mean_of(curve.last(few));
  const double way_K = to_degC - from_degC;
  if (std::abs(way_K) < least_step_K) return std::nullopt;
  const auto share = [&](const Point& p) { return (p.temperature_degC - from_degC) / way_K; };
  std::size_t begin = curve.size();
  while (begin > 0 && share(curve[begin - 1]) > begins_at) --begin;
  const CurveView used = curve.subspan(begin);
  std::size_t approach = 0;
  while (approach < used.size() && share(used[approach]) < ends_at) ++approach;
  if (approach < least_approach || approach == used.size()) return std::nullopt;

  const double tau_s = best_tau_s(used);
  const Exponential best = best_at(used, tau_s);
  PlungeFit out;
  out.count = used.size();
  out.sd_K = std::sqrt(best.squares / static_cast<double>(used.size() - 3));
  out.step_K = best.amplitude_K;
  out.final_degC = best.final_degC;
  out.time_constant_s = {tau_s, u_tau_s(used, best, tau_s, out.sd_K),
                         static_cast<double>(used.size() - 3)};
  return out;
}

}  // namespace nestcup

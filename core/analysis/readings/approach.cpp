#include "core/analysis/readings/approach.hpp"

#include <algorithm>
#include <boost/math/tools/minima.hpp>
#include <cmath>

namespace nestcup {
namespace {

constexpr double any_K = 100.0;  // a rest is not larger
constexpr double usual_lag_s = 3.5, u_log_lag = 1.2;
constexpr double shortest_lag_s = 0.2, longest_lag_s = 90.0;

/// The linear part for one lag.
struct LinearFit {
  Eigen::Vector3d best = Eigen::Vector3d::Zero();
  double cost = INFINITY;
  double squares_K2 = 0.0;
};

LinearFit fit_with_lag(CurveView curve, double lag_s, double scatter_K, const DriftPrior& prior) {
  const double weight = 1.0 / (scatter_K * scatter_K), zero_degC = curve.back().temperature_degC;
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  double squares = 0.0;
  for (const Point& point : curve) {
    const double y = point.temperature_degC - zero_degC;
    const Eigen::Vector3d row{1.0, point.time_s - curve.back().time_s,
                              std::exp((curve.front().time_s - point.time_s) / lag_s)};
    normal.noalias() += row * row.transpose();
    right += row * y;
    squares += y * y;
  }
  Eigen::Matrix3d known = weight * normal;
  Eigen::Vector3d pull = weight * right;
  const double of_slope = 1.0 / (prior.u_K_per_s * prior.u_K_per_s);
  known(1, 1) += of_slope;
  pull(1) += of_slope * prior.slope_K_per_s;
  known(2, 2) += 1.0 / (any_K * any_K);
  LinearFit fit;
  fit.best = known.ldlt().solve(pull);
  fit.squares_K2 =
      std::max(0.0, squares - 2.0 * fit.best.dot(right) + fit.best.dot(normal * fit.best));
  const double off_slope = (fit.best(1) - prior.slope_K_per_s) / prior.u_K_per_s;
  const double off_lag = std::log(lag_s / usual_lag_s) / u_log_lag;
  fit.cost = 0.5 * (weight * fit.squares_K2 + off_slope * off_slope + off_lag * off_lag);
  fit.best(0) += zero_degC;
  return fit;
}

}  // namespace

double Approach::rest_at(double time_s) const {
  return rest_K * std::exp((begin_s - time_s) / lag_s);
}

double Approach::arrived_s(double little_K) const {
  return begin_s + lag_s * std::log(std::max(1.0, std::abs(rest_K) / little_K));
}

Uncertain Approach::liquid_at(double time_s) const {
  const double ahead_s = time_s - end_s + lag_s;
  const Eigen::Vector4d slope{1.0, ahead_s, 0.0, slope_K_per_s * lag_s};
  const double variance = slope.dot(covariance * slope);
  return {level_degC + slope_K_per_s * ahead_s, std::sqrt(variance),
          std::max(1.0, static_cast<double>(readings) - 4.0)};
}

Approach fit_approach(CurveView curve, const Noise& noise, const DriftPrior& prior) {
  const double scatter_K = std::max(noise.total_K(), 5e-4);
  const auto cost = [&](double log_lag) {
    return fit_with_lag(curve, std::exp(log_lag), scatter_K, prior).cost;
  };
  // There can be more than one valley: the best of a coarse grid is looked at more closely.
  constexpr double step = 0.4;
  double best = std::log(shortest_lag_s), least = INFINITY;
  for (double at = best; at <= std::log(longest_lag_s); at += step) {
    if (const double here = cost(at); here < least) {
      least = here;
      best = at;
    }
  }
  best = boost::math::tools::brent_find_minima(cost, best - step, best + step, 20).first;

  Approach fit;
  fit.begin_s = curve.front().time_s;
  fit.end_s = curve.back().time_s;
  fit.lag_s = std::exp(best);
  const LinearFit linear = fit_with_lag(curve, fit.lag_s, scatter_K, prior);
  fit.level_degC = linear.best(0);
  fit.slope_K_per_s = linear.best(1);
  fit.rest_K = linear.best(2);
  fit.squares_K2 = linear.squares_K2;
  fit.readings = curve.size();
  Eigen::Matrix4d information = Eigen::Matrix4d::Zero();
  for (const Point& point : curve) {
    const double since = (point.time_s - fit.begin_s) / fit.lag_s, left = std::exp(-since);
    const Eigen::Vector4d row{1.0, point.time_s - fit.end_s, left, fit.rest_K * left * since};
    information.noalias() += row * row.transpose() / (scatter_K * scatter_K);
  }
  information(1, 1) += 1.0 / (prior.u_K_per_s * prior.u_K_per_s);
  information(2, 2) += 1.0 / (any_K * any_K);
  information(3, 3) += 1.0 / (u_log_lag * u_log_lag);
  fit.covariance = information.inverse();
  return fit;
}

}  // namespace nestcup

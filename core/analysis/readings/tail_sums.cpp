#include "core/analysis/readings/tail_sums.hpp"

#include <cmath>

namespace nestcup {
namespace {

Eigen::Vector3d terms(double x) {
  return {1.0, x, x * x};
}

}  // namespace

double TailSums::x(std::size_t index) const {
  return curve_[index].time_s - curve_.back().time_s;
}

double TailSums::y(std::size_t index) const {
  return curve_[index].temperature_degC - curve_.back().temperature_degC;
}

TailSums::TailSums(CurveView curve) : curve_(curve), sums_(curve.size() + 1) {
  for (Eigen::Vector3d& e : sums_.back().e) e.setZero();
  for (std::size_t i = curve_.size(); i-- > 0;) {
    Sums& sums = sums_[i] = sums_[i + 1];
    const Eigen::Vector3d row = terms(x(i));
    double power = 1.0;
    for (double& sum : sums.x) {
      sum += power;
      power *= x(i);
    }
    sums.y += row * y(i);
    sums.yy += y(i) * y(i);
    const double apart_s = i + 1 < curve_.size() ? x(i + 1) - x(i) : 0.0;
    for (std::size_t j = 0; j < rest_delays_s.size(); ++j) {
      const double faded = std::exp(-apart_s / rest_delays_s[j]);
      sums.e[j] = faded * sums.e[j] + row;
      sums.ee[j] = faded * faded * sums.ee[j] + 1.0;
      sums.ey[j] = faded * sums.ey[j] + y(i);
    }
  }
}

TailFit TailSums::fit(std::size_t first) const {
  const Sums& sums = sums_[first];
  // Scaled by the tail's length, the powers are alike in size.
  const double length_s = -x(first);
  const Eigen::Vector3d scale = terms(1.0 / length_s);
  Eigen::Matrix3d normal;
  for (int i = 0; i < 3; ++i) {
    for (int j = 0; j < 3; ++j) {
      normal(i, j) = sums.x[static_cast<std::size_t>(i + j)] * scale(i) * scale(j);
    }
  }
  const auto solver = normal.ldlt();
  const Eigen::Vector3d right = sums.y.cwiseProduct(scale);
  const Eigen::Vector3d solution = solver.solve(right);
  TailFit fit;
  fit.count = curve_.size() - first;
  fit.coefficients = solution.cwiseProduct(scale);
  fit.squares_K2 = std::max(0.0, sums.yy - solution.dot(right));
  for (std::size_t j = 0; j < rest_delays_s.size(); ++j) {
    const Eigen::Vector3d shape = sums.e[j].cwiseProduct(scale);
    const double weight = sums.ee[j] - shape.dot(solver.solve(shape));
    const double product = sums.ey[j] - shape.dot(solution);
    if (weight > 1e-9) fit.rests[j] = {product / weight, weight};
  }
  return fit;
}

double TailSums::residual_K(const TailFit& fit, std::size_t index) const {
  return y(index) - fit.coefficients.dot(terms(x(index)));
}

double TailSums::mean_residual_K(const TailFit& fit, std::size_t first, std::size_t end) const {
  const Sums &from = sums_[first], &to = sums_[end];
  const Eigen::Vector3d powers{from.x[0] - to.x[0], from.x[1] - to.x[1], from.x[2] - to.x[2]};
  return (from.y(0) - to.y(0) - fit.coefficients.dot(powers)) / static_cast<double>(end - first);
}

}  // namespace nestcup

// Levenberg's and Marquardt's damped steps towards the least cost (Quarterly of Applied Mathematics
// 2 (1944) 164; Journal of the SIAM 11 (1963) 431), for any cost with a gradient and a positive
// curvature: sums of squares, and likelihoods with their information.
#pragma once

#include <Eigen/Dense>
#include <cmath>

namespace nestcup {

/// A cost near a point: its value, minus its gradient, and its curvature (half the Hessian of a sum
/// of squares, the information of a likelihood).
template <int Count>
struct CostForm {
  double cost = 0.0;
  Eigen::Matrix<double, Count, 1> descent = Eigen::Matrix<double, Count, 1>::Zero();
  Eigen::Matrix<double, Count, Count> normal = Eigen::Matrix<double, Count, Count>::Zero();

  /// A residual in units of its scatter, and the model's slope in them.
  void add(const Eigen::Matrix<double, Count, 1>& slope, double residual) {
    normal.noalias() += slope * slope.transpose();
    descent.noalias() += slope * residual;
    cost += 0.5 * residual * residual;
  }
  /// What is known of each parameter beforehand: normal, with a `u` of infinity for nothing.
  void add_prior(const Eigen::Matrix<double, Count, 1>& p,
                 const Eigen::Matrix<double, Count, 1>& mean,
                 const Eigen::Matrix<double, Count, 1>& u) {
    for (int i = 0; i < Count; ++i) {
      const double weight = 1.0 / (u(i) * u(i)), distance = mean(i) - p(i);
      cost += 0.5 * weight * distance * distance;
      descent(i) += weight * distance;
      normal(i, i) += weight;
    }
  }
};

/// What the search does about its ends.
struct ScoringLimits {
  int turns = 40;
  double least_gain = 1e-6;  ///< stops when the cost falls by less than this
};

/// Shortens the step until the cost falls.
/// @param form_at  CostForm<Count> at a vector
/// @param bounded  brings a vector back to where the cost is defined
/// @param[in,out] p  start, then end of the search
/// @return the cost there
template <int Count, class FormAt, class Bounded>
double minimise(const FormAt& form_at, const Bounded& bounded, Eigen::Matrix<double, Count, 1>& p,
                const ScoringLimits& limits = {}) {
  double damping = 1e-3;
  p = bounded(p);
  CostForm<Count> here = form_at(p);
  for (int turn = 0; turn < limits.turns; ++turn) {
    Eigen::Matrix<double, Count, Count> damped = here.normal;
    damped.diagonal() *= 1.0 + damping;
    const Eigen::Matrix<double, Count, 1> next = bounded(p + damped.ldlt().solve(here.descent));
    CostForm<Count> there = form_at(next);
    if (std::isfinite(there.cost) && there.cost <= here.cost) {
      const double gain = here.cost - there.cost;
      p = next;
      here = std::move(there);
      damping = std::max(damping * 0.1, 1e-12);
      // A much shortened step gains little wherever it is.
      if (gain < limits.least_gain && damping < 1e-3) break;
    } else {
      damping *= 8.0;
      if (damping > 1e12) break;
    }
  }
  return here.cost;
}

}  // namespace nestcup

// How well a kind of course explains readings, whatever its parameters.
#pragma once

#include <Eigen/Dense>
#include <cmath>

namespace nestcup {

/// What is known of parameters beforehand: independent normal distributions.
template <int Count>
struct Known {
  Eigen::Matrix<double, Count, 1> mean, u;

  void know(int parameter, double value, double uncertainty) {
    mean(parameter) = value;
    u(parameter) = uncertainty;
  }
};

/// Logarithm of the probability of the readings, up to a constant that is the same for all courses,
/// in Laplace's approximation (Kass and Raftery, Journal of the American Statistical Association 90
/// (1995) 773). Beforehand the parameters are independent and normal.
/// @param cost    minus the logarithm of likelihood times prior at its best, without the factors of
///                the normal distributions
/// @param normal  its curvature there, prior included
/// @param u       standard deviations beforehand, all finite
/// @return minus infinity where the curvature is none
template <int Count>
double log_evidence(double cost, const Eigen::Matrix<double, Count, Count>& normal,
                    const Eigen::Matrix<double, Count, 1>& u) {
  const Eigen::Matrix<double, Count, Count> scaled = u.asDiagonal() * normal * u.asDiagonal();
  const double log_volume = scaled.llt().matrixLLT().diagonal().array().log().sum();
  const double evidence = -cost - log_volume;
  return std::isfinite(evidence) ? evidence : -INFINITY;
}

}  // namespace nestcup

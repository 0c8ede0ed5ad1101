// The Newton heat-leak model through foreperiod and after period.
//
//   dT/dt = k (T_rest - T),  k = h / C
//
// with one rest temperature (room plus stirring heat) and two rates: pouring liquid in raises C, so
// the rate k of the after period is smaller than k r of the foreperiod.
#pragma once

#include <Eigen/Dense>
#include <optional>

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/base/uncertain.hpp"

namespace nestcup {

/// Parameters of the model, in this order in covariances.
struct HeatLeak {
  double start_degC = 0.0;  ///< foreperiod carried to the mixing time
  double rest_degC = 0.0;   ///< temperature to which the cup would drift
  double log_rate = 0.0;    ///< ln(k / (1/s)), after period
  double log_ratio = 0.0;   ///< ln r, foreperiod rate over after-period rate
  double end_degC = 0.0;    ///< after period carried back to the end of the main period

  double mixing_s = 0.0;    ///< given: start of the pour
  double main_end_s = 0.0;  ///< given: end of the main period

  static constexpr int parameter_count = 5;
  using Vector = Eigen::Matrix<double, parameter_count, 1>;
  using Matrix = Eigen::Matrix<double, parameter_count, parameter_count>;

  Matrix covariance = Matrix::Zero();  ///< of the five, for the stated scatter
  double sd_K = 0.0;                   ///< residual standard deviation of one reading
  double correlation = 0.0;            ///< lag-one correlation of the residuals, -1 .. 1
  double dof = 0.0;                    ///< readings used less what they determine

  [[nodiscard]] double rate_per_s() const;
  [[nodiscard]] double fore_rate_per_s() const;
  /// Foreperiod course, carried on where `time_s` lies behind the mixing.
  [[nodiscard]] double fore_at(double time_s) const;
  /// After-period course, carried back where `time_s` lies before the end of the main period.
  [[nodiscard]] double after_at(double time_s) const;
};

/// What is known beforehand of the surroundings.
struct RoomKnowledge {
  std::optional<double> room_degC;  ///< mean of a room probe; nothing: near the cup's start
};

/// Fits the model by damped Gauss-Newton steps on all readings of both periods.
///
/// Weak prior knowledge keeps short periods determined: rest temperature within 4 K of the cup's
/// start (within 1 K of a room probe), rate around 3e-4 per s within a factor of 4 (lidded foam
/// cups and student runs lie between 1e-4 and 7e-4 per s), ratio between 1 (solids) and 2 (equal
/// volumes).
/// @param fore   readings before `mixing_s`, at least 2
/// @param after  readings from `main_end_s` on, at least 3
[[nodiscard]] HeatLeak fit_heat_leak(CurveView fore, CurveView after, double mixing_s,
                                     double main_end_s, const Noise& noise,
                                     const RoomKnowledge& room);

}  // namespace nestcup

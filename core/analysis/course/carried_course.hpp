// What a probe shows that was carried: it stood in a cup, hung in air, and plunged into a liquid,
// another one or the same again.
//
//   before  T_p = T_rest + (T_start - T_rest) exp(-k1 (t - t_begin))
//   in air  T_p = T_air + (T_start - T_air) exp(-(t - t_begin) / lag_air)
//   behind  T_p = T(t) + (T_p(t_plunge) - T(t_plunge)) exp(-(t - t_plunge) / lag),
//           T = T_rest + (T_start + way - T_rest) exp(-k2 (t - t_plunge))
#pragma once

#include <Eigen/Dense>

namespace nestcup {

namespace carried {
enum Parameter : int {
  start_degC,      ///< what the probe shows when it is lifted
  rest_degC,       ///< where both liquids drift to
  log_first_rate,  ///< ln(k1 s)
  log_other_rate,  ///< ln(k2 s)
  plunge_s,
  log_air,      ///< ln(how long it was in air / s): t_begin = t_plunge - that
  air_K,        ///< T_air above T_rest; a wet probe is drawn down
  log_air_lag,  ///< ln(lag in air / s)
  way_K,        ///< the liquid at the plunge above `start_degC`
  log_lag,      ///< ln(lag in the liquid / s)
  count
};
using Vector = Eigen::Matrix<double, count, 1>;
}  // namespace carried

class CarriedCourse {
 public:
  explicit CarriedCourse(const carried::Vector& parameters);

  /// Temperature that the probe shows, degC.
  /// @param[out] slope  its derivatives by the parameters
  double at(double time_s, carried::Vector& slope) const;

 private:
  double before(double since_begin_s, carried::Vector& slope) const;
  double in_air(double since_begin_s, carried::Vector& slope) const;
  double behind(double since_plunge_s, carried::Vector& slope) const;

  double start_degC_, rest_degC_, air_degC_, other_degC_;
  double first_per_s_, other_per_s_, plunge_s_, air_s_, air_lag_s_, lag_s_;
};

}  // namespace nestcup

// What a probe shows of a cup whose surroundings change for a while: a heater, a bath, a draught, a
// lid that is off. Heat comes or goes meanwhile, and the cup may leak at another rate, but nothing
// is poured: the temperature has kinks and no step.
//
//   cup    dT/dt = k (T_rest - T)             before and behind
//          dT/dt = f k (T_rest - T) + g       in between
//   probe  dT_p/dt = (T - T_p) / lag
#pragma once

#include <Eigen/Dense>
#include <array>

namespace nestcup {

namespace passing {
enum Parameter : int {
  start_degC,  ///< cup (not probe) when it begins
  rest_degC,
  log_rate,    ///< ln(k s)
  log_factor,  ///< ln f
  heating_K_per_s,
  begin_s,
  log_length,  ///< ln(how long it lasts / s)
  log_lag,     ///< ln(lag of the probe / s)
  count
};
using Vector = Eigen::Matrix<double, count, 1>;
}  // namespace passing

class PassingCourse {
 public:
  explicit PassingCourse(const passing::Vector& parameters);

  /// Temperature that the probe shows, degC.
  [[nodiscard]] double at(double time_s) const;

 private:
  /// A stretch of one rate: cup and probe where it begins, and where the cup is on its way to.
  struct Stretch {
    double from_s = 0.0, rate_per_s = 0.0, towards_degC = 0.0, cup_degC = 0.0, probe_degC = 0.0;
  };
  [[nodiscard]] double cup_at(const Stretch& stretch, double time_s) const;
  /// A probe that has followed for ever.
  [[nodiscard]] double settled_at(const Stretch& stretch, double time_s) const;
  [[nodiscard]] double probe_at(const Stretch& stretch, double time_s) const;

  double lag_s_;
  std::array<Stretch, 3> stretches_;
};

}  // namespace nestcup

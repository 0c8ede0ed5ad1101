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
  /// A stretch of one rate, and how far the cup and a probe that has followed for ever are, where
  /// it begins, from where the cup is on its way to; what is left of the probe's own way to there.
  struct Stretch {
    double from_s = 0.0, rate_per_s = 0.0, towards_degC = 0.0;
    double away_K = 0.0, followed_K = 0.0, left_K = 0.0;
  };
  [[nodiscard]] Stretch stretch(double from_s, double rate_per_s, double towards_degC,
                                double cup_degC) const;
  /// The next, with cup and probe as the one before leaves them.
  [[nodiscard]] Stretch behind(const Stretch& before, double from_s, double rate_per_s,
                               double towards_degC) const;
  [[nodiscard]] double probe_at(const Stretch& stretch, double time_s) const;

  double lag_s_;
  std::array<Stretch, 3> stretches_;
};

}  // namespace nestcup

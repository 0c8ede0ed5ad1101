#include "core/analysis/course/passing_course.hpp"

#include <cmath>

namespace nestcup {

PassingCourse::PassingCourse(const passing::Vector& p) : lag_s_(std::exp(p(passing::log_lag))) {
  const double rate = std::exp(p(passing::log_rate)), rest_degC = p(passing::rest_degC);
  const double between = rate * std::exp(p(passing::log_factor));
  Stretch& fore = stretches_[0];
  fore = {p(passing::begin_s), rate, rest_degC, p(passing::start_degC), 0.0};
  fore.probe_degC = settled_at(fore, fore.from_s);
  Stretch& change = stretches_[1];
  change = fore;
  change.rate_per_s = between;
  change.towards_degC = rest_degC + p(passing::heating_K_per_s) / between;
  const double end_s = change.from_s + std::exp(p(passing::log_length));
  stretches_[2] = {end_s, rate, rest_degC, cup_at(change, end_s), probe_at(change, end_s)};
}

double PassingCourse::cup_at(const Stretch& stretch, double time_s) const {
  const double away = stretch.cup_degC - stretch.towards_degC;
  return stretch.towards_degC + away * std::exp(-stretch.rate_per_s * (time_s - stretch.from_s));
}

double PassingCourse::settled_at(const Stretch& stretch, double time_s) const {
  const double followed =
      (stretch.cup_degC - stretch.towards_degC) / (1.0 - stretch.rate_per_s * lag_s_);
  return stretch.towards_degC +
         followed * std::exp(-stretch.rate_per_s * (time_s - stretch.from_s));
}

double PassingCourse::probe_at(const Stretch& stretch, double time_s) const {
  const double left = stretch.probe_degC - settled_at(stretch, stretch.from_s);
  return settled_at(stretch, time_s) + left * std::exp(-(time_s - stretch.from_s) / lag_s_);
}

double PassingCourse::at(double time_s) const {
  // Before, the probe has followed for ever. What rounding leaves of where it was must not grow
  // into the past.
  if (time_s < stretches_[1].from_s) return settled_at(stretches_[0], time_s);
  return probe_at(time_s < stretches_[2].from_s ? stretches_[1] : stretches_[2], time_s);
}

}  // namespace nestcup

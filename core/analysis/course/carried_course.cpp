#include "core/analysis/course/carried_course.hpp"

#include <cmath>

namespace nestcup {

CarriedCourse::CarriedCourse(const carried::Vector& p)
    : start_degC_(p(carried::start_degC)),
      rest_degC_(p(carried::rest_degC)),
      air_degC_(rest_degC_ + p(carried::air_K)),
      other_degC_(start_degC_ + p(carried::way_K)),
      first_per_s_(std::exp(p(carried::log_first_rate))),
      other_per_s_(std::exp(p(carried::log_other_rate))),
      plunge_s_(p(carried::plunge_s)),
      air_s_(std::exp(p(carried::log_air))),
      air_lag_s_(std::exp(p(carried::log_air_lag))),
      lag_s_(std::exp(p(carried::log_lag))) {}

double CarriedCourse::at(double time_s, carried::Vector& slope) const {
  slope.setZero();
  const double since_plunge_s = time_s - plunge_s_, since_begin_s = since_plunge_s + air_s_;
  if (since_begin_s < 0.0) return before(since_begin_s, slope);
  if (since_plunge_s < 0.0) return in_air(since_begin_s, slope);
  return behind(since_plunge_s, slope);
}

double CarriedCourse::before(double since_begin_s, carried::Vector& slope) const {
  const double left = std::exp(-first_per_s_ * since_begin_s);
  const double away_K = (start_degC_ - rest_degC_) * left;
  slope(carried::start_degC) = left;
  slope(carried::rest_degC) = 1.0 - left;
  slope(carried::log_first_rate) = -away_K * first_per_s_ * since_begin_s;
  slope(carried::plunge_s) = away_K * first_per_s_;
  slope(carried::log_air) = -air_s_ * away_K * first_per_s_;
  return rest_degC_ + away_K;
}

double CarriedCourse::in_air(double since_begin_s, carried::Vector& slope) const {
  const double left = std::exp(-since_begin_s / air_lag_s_);
  const double away_K = (start_degC_ - air_degC_) * left;
  slope(carried::start_degC) = left;
  slope(carried::rest_degC) = slope(carried::air_K) = 1.0 - left;
  slope(carried::log_air_lag) = away_K * since_begin_s / air_lag_s_;
  slope(carried::plunge_s) = away_K / air_lag_s_;
  slope(carried::log_air) = -air_s_ * away_K / air_lag_s_;
  return air_degC_ + away_K;
}

double CarriedCourse::behind(double since_plunge_s, carried::Vector& slope) const {
  const double in_air = std::exp(-air_s_ / air_lag_s_);
  const double cooled_K = (start_degC_ - air_degC_) * in_air;
  const double behind_K = air_degC_ + cooled_K - other_degC_;  // the probe, at the plunge
  const double drifted = std::exp(-other_per_s_ * since_plunge_s);
  const double left = std::exp(-since_plunge_s / lag_s_);
  const double away_K = (other_degC_ - rest_degC_) * drifted;
  slope(carried::start_degC) = drifted - left + in_air * left;
  slope(carried::rest_degC) = 1.0 - drifted + (1.0 - in_air) * left;
  slope(carried::air_K) = (1.0 - in_air) * left;
  slope(carried::log_air_lag) = cooled_K * left * air_s_ / air_lag_s_;
  slope(carried::log_air) = -slope(carried::log_air_lag);
  slope(carried::way_K) = drifted - left;
  slope(carried::log_other_rate) = -away_K * other_per_s_ * since_plunge_s;
  slope(carried::log_lag) = behind_K * left * since_plunge_s / lag_s_;
  slope(carried::plunge_s) = away_K * other_per_s_ + behind_K * left / lag_s_;
  return rest_degC_ + away_K + behind_K * left;
}

}  // namespace nestcup

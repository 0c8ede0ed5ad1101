#include "core/analysis/course/passing_course.hpp"

#include <cmath>

namespace nestcup {

PassingCourse::PassingCourse(const passing::Vector& p) : lag_s_(std::exp(p(passing::log_lag))) {
  const double rate = std::exp(p(passing::log_rate)), rest_degC = p(passing::rest_degC);
  const double between = rate * std::exp(p(passing::log_factor));
  const double heated_degC = rest_degC + p(passing::heating_K_per_s) / between;
  const double begin_s = p(passing::begin_s), end_s = begin_s + std::exp(p(passing::log_length));
  // Before, the probe has followed for ever: nothing is left of where it was.
  stretches_[0] = stretch(begin_s, rate, rest_degC, p(passing::start_degC));
  stretches_[1] = behind(stretches_[0], begin_s, between, heated_degC);
  stretches_[2] = behind(stretches_[1], end_s, rate, rest_degC);
}

PassingCourse::Stretch PassingCourse::stretch(double from_s, double rate_per_s, double towards_degC,
                                              double cup_degC) const {
  const double away_K = cup_degC - towards_degC;
  return {from_s, rate_per_s, towards_degC, away_K, away_K / (1.0 - rate_per_s * lag_s_), 0.0};
}

PassingCourse::Stretch PassingCourse::behind(const Stretch& before, double from_s,
                                             double rate_per_s, double towards_degC) const {
  const double gone = std::exp(-before.rate_per_s * (from_s - before.from_s));
  Stretch next =
      stretch(from_s, rate_per_s, towards_degC, before.towards_degC + before.away_K * gone);
  next.left_K = probe_at(before, from_s) - towards_degC - next.followed_K;
  return next;
}

double PassingCourse::probe_at(const Stretch& stretch, double time_s) const {
  const double since_s = time_s - stretch.from_s;
  const double left_K = stretch.left_K == 0.0 ? 0.0 : stretch.left_K * std::exp(-since_s / lag_s_);
  return stretch.towards_degC + stretch.followed_K * std::exp(-stretch.rate_per_s * since_s) +
         left_K;
}

double PassingCourse::at(double time_s) const {
  if (time_s < stretches_[1].from_s) return probe_at(stretches_[0], time_s);
  return probe_at(time_s < stretches_[2].from_s ? stretches_[1] : stretches_[2], time_s);
}

}  // namespace nestcup

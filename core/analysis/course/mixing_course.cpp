#include "core/analysis/course/mixing_course.hpp"

#include <cmath>

namespace nestcup {
namespace {

ResponseTimes times_of(const course::Vector& p, int release) {
  return {std::exp(p(course::log_pour)), std::exp(p(release)), std::exp(p(course::log_lag)),
          std::exp(p(course::log_rate))};
}

/// Mean over the pour of (1 - x) times the share released at x of its length: what the rate that
/// is still higher during the pour sees of the rise. 1/6 for an instant release; this form lies
/// within 4 % of the integral for any ratio of the two times.
struct ShareInPour {
  double value, by_log_pour;  ///< by the release's logarithm it changes the other way

  ShareInPour(double pour_s, double release_s)
      : value(1.0 / (6.0 + 24.0 * release_s / pour_s)),
        by_log_pour(24.0 * release_s / pour_s * value * value) {}
};

}  // namespace

MixingCourse::MixingCourse(const course::Vector& parameters, bool two_releases)
    : p_(parameters),
      rate_(std::exp(p_(course::log_rate))),
      fore_rate_(std::exp(p_(course::log_rate) + p_(course::log_ratio))),
      lag_s_(std::exp(p_(course::log_lag))),
      pour_s_(std::exp(p_(course::log_pour))),
      seen_fore_(1.0 / (1.0 - fore_rate_ * lag_s_)),
      seen_after_(1.0 / (1.0 - rate_ * lag_s_)),
      fast_(times_of(p_, course::log_release)) {
  const ShareInPour in_pour(pour_s_, std::exp(p_(course::log_release)));
  share_in_pour_ = in_pour.value;
  share_by_pour_ = in_pour.by_log_pour;
  const double surplus = (fore_rate_ - rate_) * pour_s_;
  rise_factor_ = 1.0 - surplus * share_in_pour_;
  effective_rise_K_ = p_(course::rise_K) * rise_factor_ -
                      0.5 * surplus * (p_(course::start_degC) - p_(course::rest_degC));
  if (two_releases) slow_.emplace(times_of(p_, course::log_slow));
}

double MixingCourse::fore(double time_s, course::Vector& slope) const {
  const double away = p_(course::start_degC) - p_(course::rest_degC);
  const double x = fore_rate_ * (time_s - p_(course::mixing_s));
  const double decay = seen_fore_ * std::exp(-x);
  slope.setZero();
  slope(course::start_degC) = decay;
  slope(course::rest_degC) = 1.0 - decay;
  const double by_rate = away * decay * (fore_rate_ * lag_s_ * seen_fore_ - x);
  slope(course::log_rate) = by_rate;
  slope(course::log_ratio) = by_rate;
  slope(course::mixing_s) = away * decay * fore_rate_;
  slope(course::log_lag) = away * decay * fore_rate_ * lag_s_ * seen_fore_;
  return p_(course::rest_degC) + away * decay;
}

Share MixingCourse::share_at(double since_s, course::Vector& slope) const {
  Share share = fast_.at(since_s);
  const double w = slow_ ? p_(course::slow_share) : 0.0;
  slope(course::log_release) = effective_rise_K_ * (1.0 - w) * share.by_log_release;
  slope(course::slow_share) = slope(course::log_slow) = 0.0;
  if (!slow_) return share;
  const Share slow = slow_->at(since_s);
  slope(course::slow_share) = effective_rise_K_ * (slow.value - share.value);
  slope(course::log_slow) = effective_rise_K_ * w * slow.by_log_release;
  share.value += w * (slow.value - share.value);
  share.by_time_per_s += w * (slow.by_time_per_s - share.by_time_per_s);
  share.by_log_pour += w * (slow.by_log_pour - share.by_log_pour);
  share.by_log_lag += w * (slow.by_log_lag - share.by_log_lag);
  share.by_log_rate += w * (slow.by_log_rate - share.by_log_rate);
  return share;
}

double MixingCourse::after(double time_s, course::Vector& slope) const {
  const double away = p_(course::start_degC) - p_(course::rest_degC);
  const double since_s = time_s - p_(course::mixing_s);
  const Share share = share_at(since_s, slope);
  const double rise_K = effective_rise_K_;

  // The cup as it was drifts on, its lag going over to that of the new rate.
  const double leak = share.leak, x = since_s / lag_s_;
  const double lagged = x < 45.0 ? std::exp(-x) : 0.0;
  const double going_over = (seen_fore_ - seen_after_) * lagged;
  const double kept = seen_after_ * leak + going_over;
  const double after_by_rate = seen_after_ * seen_after_ * rate_ * lag_s_;
  const double fore_by_rate = seen_fore_ * seen_fore_ * fore_rate_ * lag_s_;
  const double settling = after_by_rate * leak + (fore_by_rate - after_by_rate) * lagged;

  // What the rate, still higher in the pour, takes of the rise.
  const double surplus = (fore_rate_ - rate_) * pour_s_;
  const double lost = p_(course::rise_K) * share_in_pour_ + 0.5 * away;
  const double lost_by_pour = p_(course::rise_K) * share_by_pour_;

  slope(course::start_degC) = kept - 0.5 * surplus * share.value;
  slope(course::rest_degC) = 1.0 - kept + 0.5 * surplus * share.value;
  slope(course::log_rate) = away * (settling - seen_after_ * rate_ * since_s * leak) +
                            rise_K * share.by_log_rate - surplus * lost * share.value;
  slope(course::log_ratio) =
      away * fore_by_rate * lagged - fore_rate_ * pour_s_ * lost * share.value;
  slope(course::rise_K) = rise_factor_ * share.value;
  slope(course::mixing_s) =
      away * (rate_ * seen_after_ * leak + going_over / lag_s_) - rise_K * share.by_time_per_s;
  slope(course::log_pour) =
      rise_K * share.by_log_pour - surplus * (lost + lost_by_pour) * share.value;
  slope(course::log_release) += surplus * lost_by_pour * share.value;
  slope(course::log_lag) = rise_K * share.by_log_lag + away * (settling + going_over * x);
  return p_(course::rest_degC) + away * kept + rise_K * share.value;
}

double MixingCourse::at(double time_s, course::Vector& slope) const {
  return time_s < p_(course::mixing_s) ? fore(time_s, slope) : after(time_s, slope);
}

double MixingCourse::at(double time_s) const {
  const double away = p_(course::start_degC) - p_(course::rest_degC);
  const double since_s = time_s - p_(course::mixing_s);
  if (since_s < 0.0)
    return p_(course::rest_degC) + away * seen_fore_ * std::exp(-fore_rate_ * since_s);
  double share = fast_.value_at(since_s);
  if (slow_) share += p_(course::slow_share) * (slow_->value_at(since_s) - share);
  const double x = since_s / lag_s_;
  const double lagged = x < 45.0 ? std::exp(-x) : 0.0;
  const double kept =
      seen_after_ * std::exp(-rate_ * since_s) + (seen_fore_ - seen_after_) * lagged;
  return p_(course::rest_degC) + away * kept + effective_rise_K_ * share;
}

double MixingCourse::fore_at(double time_s) const {
  return p_(course::rest_degC) + (p_(course::start_degC) - p_(course::rest_degC)) *
                                     std::exp(-fore_rate_ * (time_s - p_(course::mixing_s)));
}

double MixingCourse::after_at(double time_s) const {
  const double since_s = time_s - p_(course::mixing_s);
  const double w = slow_ ? p_(course::slow_share) : 0.0;
  double share = (1.0 - w) * fast_.settled(since_s);
  if (slow_) share += w * slow_->settled(since_s);
  return p_(course::rest_degC) +
         (p_(course::start_degC) - p_(course::rest_degC)) * seen_after_ *
             std::exp(-rate_ * since_s) +
         effective_rise_K_ * share;
}

}  // namespace nestcup

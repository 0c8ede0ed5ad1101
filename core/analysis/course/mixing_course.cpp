#include "core/analysis/course/mixing_course.hpp"

#include <cmath>

namespace nestcup {
namespace {

ResponseTimes times_of(const course::Vector& p, double release_s) {
  return {std::exp(p(course::log_pour)), release_s, std::exp(p(course::log_lag)),
          std::exp(p(course::log_rate))};
}

ThinnedPour pour_of(const course::Vector& p, course::Form form, double release_s) {
  return {times_of(p, release_s),
          course::is_thinned(form) ? std::optional(p(course::log_ratio)) : std::nullopt};
}

/// Mean over the pour of (1 - x) times the share released at x of its length: what the rate that
/// is still higher during the pour sees of the rise. 1/6 for an instant release; this form lies
/// within 4 % of the integral for any ratio of the two times.
struct ShareInPour {
  double value, by_log_pour;  ///< by the release's logarithm it changes the other way

  ShareInPour(double pour_s, double release_s)
      : value(pour_s / (6.0 * pour_s + 24.0 * release_s)),
        by_log_pour(pour_s > 0.0 ? 24.0 * release_s / pour_s * value * value : 0.0) {}
};

/// The lid's time, kept five parts in ten thousand off those of the releases: equal ones would make
/// the closed form 0/0, and so far apart they change the course by less than any reading shows.
double lid_time_s(const course::Vector& p) {
  constexpr double apart = 5e-4;
  double lid_s = std::exp(p(course::log_lid));
  for (const int release : {course::log_release, course::log_slow}) {
    const double release_s = std::exp(p(release));
    const double off = lid_s / release_s - 1.0;
    if (std::abs(off) < apart) lid_s = release_s * (1.0 + std::copysign(apart, off));
  }
  return lid_s;
}

LidDelay lid_delay(double lid_s, double release_s) {
  const double lid = lid_s / (lid_s - release_s);
  return {lid, lid - 1.0};
}

}  // namespace

MixingCourse::MixingCourse(const course::Vector& parameters, course::Form form)
    : p_(parameters),
      rate_(std::exp(p_(course::log_rate))),
      fore_rate_(std::exp(p_(course::log_rate) + p_(course::log_ratio))),
      lag_s_(std::exp(p_(course::log_lag))),
      changing_s_(course::solid_of(form) ? 0.0 : std::exp(p_(course::log_pour))),
      seen_fore_(1.0 / (1.0 - fore_rate_ * lag_s_)),
      seen_after_(1.0 / (1.0 - rate_ * lag_s_)),
      fast_(pour_of(p_, form, std::exp(p_(course::log_release)))) {
  const double release_s = std::exp(p_(course::log_release));
  if (const auto shape = course::solid_of(form)) solid_.emplace(times_of(p_, release_s), *shape);
  const ShareInPour in_pour(changing_s_, release_s);
  share_in_pour_ = in_pour.value;
  share_by_pour_ = in_pour.by_log_pour;
  const double surplus = (fore_rate_ - rate_) * changing_s_;
  rise_factor_ = 1.0 - surplus * share_in_pour_;
  effective_rise_K_ = p_(course::rise_K) * rise_factor_ -
                      0.5 * surplus * (p_(course::start_degC) - p_(course::rest_degC));
  if (course::taking_part(form) <= course::slow_share) return;
  slow_.emplace(pour_of(p_, form, std::exp(p_(course::log_slow))));
  if (form != course::Form::with_lid) return;
  const double lid_s = lid_time_s(p_);
  lid_.emplace(pour_of(p_, form, lid_s));
  lid_of_fast_ = lid_delay(lid_s, std::exp(p_(course::log_release)));
  lid_of_slow_ = lid_delay(lid_s, std::exp(p_(course::log_slow)));
}

double MixingCourse::mixed(double fast, double slow, double lid) const {
  const double w = slow_ ? p_(course::slow_share) : 0.0;
  if (!lid_) return fast + w * (slow - fast);
  const double v = p_(course::lid_share);
  const double of_fast = lid_of_fast_.lid * lid - lid_of_fast_.release * fast;
  const double of_slow = lid_of_slow_.lid * lid - lid_of_slow_.release * slow;
  return fast + v * of_fast + w * (slow + v * of_slow - fast - v * of_fast);
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
  Share share = solid_ ? solid_->at(since_s) : fast_.at(since_s);
  const double w = slow_ ? p_(course::slow_share) : 0.0;
  slope(course::log_release) = effective_rise_K_ * (1.0 - w) * share.by_log_release;
  slope.tail<course::count - course::slow_share>().setZero();
  if (!slow_) return share;
  const Share fast = share, slow = slow_->at(since_s);
  slope(course::slow_share) = effective_rise_K_ * (slow.value - share.value);
  slope(course::log_slow) = effective_rise_K_ * w * slow.by_log_release;
  share = blended(slow, fast, w);
  if (lid_) add_lid(since_s, fast, slow, share, slope);
  return share;
}

/// With R the shares of release r and lid t, the lid's answer to r is L = g R_t - (g-1) R_r, and
///   dL/dln r = g (g-1) (R_t - R_r) - (g-1) R_r',    dL/dln t = -g (g-1) (R_t - R_r) + g R_t'.
void MixingCourse::add_lid(double since_s, const Share& fast, const Share& slow, Share& share,
                           course::Vector& slope) const {
  const Share lid = lid_->at(since_s);
  const double w = p_(course::slow_share), v = p_(course::lid_share), K = effective_rise_K_;
  const auto add = [&](const Share& release, const LidDelay& delay, double weight,
                       course::Parameter log_time) {
    const double answer = delay.lid * lid.value - delay.release * release.value;
    const double apart = delay.lid * delay.release * (lid.value - release.value);
    share.value += v * weight * answer;
    slope(course::lid_share) += K * weight * answer;
    slope(log_time) += K * v * weight * (apart - delay.release * release.by_log_release);
    slope(course::log_lid) += K * v * weight * (delay.lid * lid.by_log_release - apart);
    const auto mix = [&](double of_lid, double of_release) {
      return v * weight * (delay.lid * of_lid - delay.release * of_release);
    };
    share.by_time_per_s += mix(lid.by_time_per_s, release.by_time_per_s);
    share.by_log_pour += mix(lid.by_log_pour, release.by_log_pour);
    share.by_log_lag += mix(lid.by_log_lag, release.by_log_lag);
    share.by_log_rate += mix(lid.by_log_rate, release.by_log_rate);
    return answer;
  };
  const double of_fast = add(fast, lid_of_fast_, 1.0 - w, course::log_release);
  const double of_slow = add(slow, lid_of_slow_, w, course::log_slow);
  slope(course::slow_share) += K * v * (of_slow - of_fast);
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
  const double surplus = (fore_rate_ - rate_) * changing_s_;
  const double lost = p_(course::rise_K) * share_in_pour_ + 0.5 * away;
  const double lost_by_pour = p_(course::rise_K) * share_by_pour_;

  slope(course::start_degC) = kept - 0.5 * surplus * share.value;
  slope(course::rest_degC) = 1.0 - kept + 0.5 * surplus * share.value;
  slope(course::log_rate) = away * (settling - seen_after_ * rate_ * since_s * leak) +
                            rise_K * share.by_log_rate - surplus * lost * share.value;
  slope(course::log_ratio) = away * fore_by_rate * lagged + rise_K * share.by_log_ratio -
                             fore_rate_ * changing_s_ * lost * share.value;
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
  const double share =
      mixed(solid_ ? solid_->value_at(since_s) : fast_.value_at(since_s),
            slow_ ? slow_->value_at(since_s) : 0.0, lid_ ? lid_->value_at(since_s) : 0.0);
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
  const double share =
      mixed(solid_ ? solid_->settled(since_s) : fast_.settled(since_s),
            slow_ ? slow_->settled(since_s) : 0.0, lid_ ? lid_->settled(since_s) : 0.0);
  return p_(course::rest_degC) +
         (p_(course::start_degC) - p_(course::rest_degC)) * seen_after_ *
             std::exp(-rate_ * since_s) +
         effective_rise_K_ * share;
}

}  // namespace nestcup

#include "core/analysis/course/pour_response.hpp"

#include <cmath>
#include <tuple>

namespace nestcup {
Share blended(const Share& first, const Share& second, double share) {
  const auto mix = [&](double Share::*part) {
    return second.*part + share * (first.*part - second.*part);
  };
  return {.value = mix(&Share::value),
          .by_time_per_s = mix(&Share::by_time_per_s),
          .by_log_pour = mix(&Share::by_log_pour),
          .by_log_release = mix(&Share::by_log_release),
          .by_log_lag = mix(&Share::by_log_lag),
          .by_log_rate = mix(&Share::by_log_rate),
          .by_log_ratio = mix(&Share::by_log_ratio),
          .leak = first.leak};
}

std::pair<double, double> kept_apart(double a, double b) {
  constexpr double apart = 2e-3;
  const double middle = std::sqrt(a * b);
  if (std::abs(a - b) >= apart * middle) return {a, b};
  const double side = a < b ? -0.5 : 0.5;
  return {middle * (1.0 + side * apart), middle * (1.0 - side * apart)};
}

PourResponse::PourResponse(const ResponseTimes& times)
    : pour_s_(times.pour_s), k_(times.rate_per_s) {
  std::tie(a_, b_) = kept_apart(1.0 / times.release_s, 1.0 / times.lag_s);
  c_k_ = a_ * b_ / ((a_ - k_) * (b_ - k_) * k_);
  c_a_ = b_ / ((b_ - a_) * (a_ - k_));
  c_b_ = a_ / ((a_ - b_) * (b_ - k_));
  ck_by_a_ = -k_ / (a_ - k_);
  ck_by_b_ = -k_ / (b_ - k_);
  ck_by_k_ = k_ / (a_ - k_) + k_ / (b_ - k_) - 1.0;
  ca_by_a_ = a_ / (b_ - a_) - a_ / (a_ - k_);
  ca_by_b_ = -a_ / (b_ - a_);
  ca_by_k_ = k_ / (a_ - k_);
  cb_by_b_ = b_ / (a_ - b_) - b_ / (b_ - k_);
  cb_by_a_ = -b_ / (a_ - b_);
  cb_by_k_ = k_ / (b_ - k_);
  faded_k_ = fading(k_ * pour_s_);
  faded_a_ = fading(a_ * pour_s_);
  faded_b_ = fading(b_ * pour_s_);
  ended_k_ = -c_k_ * std::expm1(-k_ * pour_s_) / pour_s_;
  ended_a_ = c_a_ * std::expm1(-a_ * pour_s_) / pour_s_;
  ended_b_ = c_b_ * std::expm1(-b_ * pour_s_) / pour_s_;
}

double PourResponse::value_at(double since_s) const {
  if (since_s <= 0.0) return 0.0;
  if (since_s <= pour_s_) {
    return (1.0 / k_ - c_k_ * fading(k_ * since_s) + c_a_ * fading(a_ * since_s) +
            c_b_ * fading(b_ * since_s)) /
           pour_s_;
  }
  const double ended_s = since_s - pour_s_;
  return ended_k_ * fading(k_ * ended_s) + ended_a_ * fading(a_ * ended_s) +
         ended_b_ * fading(b_ * ended_s);
}

double PourResponse::settled(double since_s) const {
  return c_k_ * std::expm1(k_ * pour_s_) / pour_s_ * std::exp(-k_ * since_s);
}

Share PourResponse::at(double since_s) const {
  if (since_s <= 0.0) return {};
  return since_s <= pour_s_ ? pouring(since_s) : ended(since_s - pour_s_);
}

Share PourResponse::pouring(double since_s) const {
  const double left = fading(k_ * since_s);
  const double by_k = c_k_ * left;
  const double by_a = c_a_ * fading(a_ * since_s);
  const double by_b = c_b_ * fading(b_ * since_s);
  const double scale = 1.0 / pour_s_;
  Share share;
  share.leak = left;
  share.value = (1.0 / k_ - by_k + by_a + by_b) * scale;
  share.by_time_per_s = (k_ * by_k - a_ * by_a - b_ * by_b) * scale;
  share.by_log_pour = -share.value;
  share.by_log_release =
      (ck_by_a_ * by_k - (ca_by_a_ - a_ * since_s) * by_a - cb_by_a_ * by_b) * scale;
  share.by_log_lag = (ck_by_b_ * by_k - ca_by_b_ * by_a - (cb_by_b_ - b_ * since_s) * by_b) * scale;
  share.by_log_rate =
      (-1.0 / k_ - (ck_by_k_ - k_ * since_s) * by_k + ca_by_k_ * by_a + cb_by_k_ * by_b) * scale;
  return share;
}

Share PourResponse::ended(double ended_s) const {
  // What fades from the end of the pour on; from its start on it has faded by a constant more.
  const double left_k = fading(k_ * ended_s);
  const double left_a = fading(a_ * ended_s);
  const double left_b = fading(b_ * ended_s);
  const double by_k = ended_k_ * left_k, by_a = ended_a_ * left_a, by_b = ended_b_ * left_b;
  Share share;
  share.leak = faded_k_ * left_k;
  share.value = by_k + by_a + by_b;
  share.by_time_per_s = -(k_ * by_k + a_ * by_a + b_ * by_b);
  share.by_log_pour = k_ * c_k_ * left_k - a_ * c_a_ * left_a - b_ * c_b_ * left_b - share.value;
  share.by_log_release = -ck_by_a_ * by_k - (ca_by_a_ - a_ * ended_s) * by_a - cb_by_a_ * by_b +
                         a_ * c_a_ * faded_a_ * left_a;
  share.by_log_lag = -ck_by_b_ * by_k - ca_by_b_ * by_a - (cb_by_b_ - b_ * ended_s) * by_b +
                     b_ * c_b_ * faded_b_ * left_b;
  share.by_log_rate = (ck_by_k_ - k_ * ended_s) * by_k + ca_by_k_ * by_a + cb_by_k_ * by_b +
                      k_ * c_k_ * faded_k_ * left_k;
  return share;
}

}  // namespace nestcup

// How a probe in a leaking cup answers an even pour: ramp, first-order release, heat leak and probe
// lag in one closed form, with its derivatives.
#pragma once

#include <cmath>
#include <utility>

namespace nestcup {

/// Time constants of one mixing.
struct ResponseTimes {
  double pour_s = 2.0;       ///< length of the pour, > 0
  double release_s = 2.0;    ///< first-order release of the heat, > 0
  double lag_s = 2.0;        ///< first-order lag of the probe, > 0
  double rate_per_s = 3e-4;  ///< heat-leak rate of the cup after the pour, > 0
};

/// Share of the rise that a probe shows at one moment, and how it changes with what it hangs on.
struct Share {
  double value = 0.0;
  double by_time_per_s = 0.0;  ///< with the time since the start of the pour
  double by_log_pour = 0.0;    ///< with the logarithms of the four
  double by_log_release = 0.0;
  double by_log_lag = 0.0;
  double by_log_rate = 0.0;
  double by_log_ratio = 0.0;  ///< with that of how much the contents grow, in a thinned pour
  double leak = 1.0;  ///< what the leak alone has left of any distance to the rest temperature
};

/// `share` of the first and the rest of the second; the leak is the first's.
[[nodiscard]] Share blended(const Share& first, const Share& second, double share);

/// exp(-x) for x >= 0, and 0 where nobody could see it any more.
[[nodiscard]] inline double fading(double x) {
  return x < 45.0 ? std::exp(-x) : 0.0;
}

/// Equal delays make the closed forms 0/0. Two parts in a thousand apart, about the same mean, they
/// differ from equal ones by less than a part in a million.
[[nodiscard]] std::pair<double, double> kept_apart(double a, double b);

/// Answer of a chain of three first-order delays (release a = 1/release_s, lag b = 1/lag_s, leak k,
/// the last without being brought back to 1) to a ramp of length pour_s. With the transform
///   H(s) = a b / (s (s + a) (s + b) (s + k)),
/// the share at time u since the start of the pour is (h(u) - h(u - pour_s)) / pour_s, where
/// partial fractions give h(u) = 1/k - c_k exp(-k u) + c_a exp(-a u) + c_b exp(-b u). Range:
/// release and lag at least 1.5 times shorter than 1/k.
class PourResponse {
 public:
  explicit PourResponse(const ResponseTimes& times);

  [[nodiscard]] Share at(double since_s) const;
  /// Its value alone, at a fraction of the cost.
  [[nodiscard]] double value_at(double since_s) const;
  /// The share as it is once ramp, release and lag have died out, carried back to any time.
  [[nodiscard]] double settled(double since_s) const;

 private:
  [[nodiscard]] Share pouring(double since_s) const;
  /// @param ended_s  time since the end of the pour
  [[nodiscard]] Share ended(double ended_s) const;

  double pour_s_, a_, b_, k_;
  double c_a_, c_b_, c_k_;
  double faded_a_, faded_b_, faded_k_;  ///< what the pour's length leaves of each
  double ended_a_, ended_b_, ended_k_;  ///< coefficients counted from the end of the pour, over it
  double ca_by_a_, ca_by_b_, ca_by_k_;  ///< logarithmic derivatives of the coefficients
  double cb_by_a_, cb_by_b_, cb_by_k_;
  double ck_by_a_, ck_by_b_, ck_by_k_;
};

}  // namespace nestcup

// RunningLine: the straight line through the last readings, kept up to date by sums.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <deque>

#include "core/base/clock.hpp"

namespace nestcup::daemon {

/// What fit_line (core/analysis) says of a window of readings that goes along with the time,
/// without going through all of them again with each new one: with hundreds of probes that would be
/// the daemon's dearest work. The sums are made anew now and then, before what rounding leaves in
/// them could show.
class RunningLine {
 public:
  void push(TimeUs time_us, double temperature_degC) {
    seen_.push_back({time_us, temperature_degC});
    if (pushed_++ % renewed_after == 0) return renew();
    add(seen_.back(), 1.0);
  }
  /// Leaves out what is older than `time_us`.
  void drop_before(TimeUs time_us) {
    while (!seen_.empty() && seen_.front().time_us < time_us) {
      add(seen_.front(), -1.0);
      seen_.pop_front();
    }
  }

  [[nodiscard]] std::size_t size() const { return seen_.size(); }
  /// Time from the oldest reading to the newest; there must be one.
  [[nodiscard]] TimeUs span_us() const { return seen_.back().time_us - seen_.front().time_us; }
  /// Of at least two readings at different times.
  [[nodiscard]] double slope_K_per_s() const { return sxy() / sxx(); }
  /// Residual standard deviation, n - 2 degrees of freedom; of at least three readings.
  [[nodiscard]] double sd_K() const {
    const double left = syy() - sxy() * sxy() / sxx();
    return std::sqrt(std::max(0.0, left) / (n() - 2.0));
  }

 private:
  struct Seen {
    TimeUs time_us;
    double temperature_degC;
  };
  static constexpr std::size_t renewed_after = 256;

  [[nodiscard]] double n() const { return static_cast<double>(seen_.size()); }
  [[nodiscard]] double sxx() const { return tt_ - t_ * t_ / n(); }
  [[nodiscard]] double sxy() const { return ty_ - t_ * y_ / n(); }
  [[nodiscard]] double syy() const { return yy_ - y_ * y_ / n(); }

  void renew() {
    base_ = seen_.back();
    t_ = y_ = tt_ = ty_ = yy_ = 0.0;
    for (const Seen& seen : seen_) add(seen, 1.0);
  }
  void add(const Seen& seen, double sign) {
    const double t = to_s(seen.time_us - base_.time_us);
    const double y = seen.temperature_degC - base_.temperature_degC;
    t_ += sign * t;
    y_ += sign * y;
    tt_ += sign * t * t;
    ty_ += sign * t * y;
    yy_ += sign * y * y;
  }

  std::deque<Seen> seen_;
  std::size_t pushed_ = 0;
  Seen base_{};  ///< times and temperatures in the sums are counted from here
  double t_ = 0.0, y_ = 0.0, tt_ = 0.0, ty_ = 0.0, yy_ = 0.0;
};

}  // namespace nestcup::daemon

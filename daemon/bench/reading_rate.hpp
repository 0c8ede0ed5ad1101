// ReadingRate: how many readings of one probe the daemon takes.
#pragma once

#include <algorithm>
#include <cstdint>

#include "core/base/clock.hpp"

namespace nestcup::daemon {

/// No thermometer in a cup tells anything new 200 times a second, but a board that has run wild
/// sends a hundred thousand lines in one, and all of them good: they would fill the store and push
/// other probes' readings out of it. What had to wait somewhere comes at once and is taken.
class ReadingRate {
 public:
  static constexpr double most_per_s = 200.0;
  static constexpr double most_at_once = 2000.0;

  /// Whether a reading that arrives now (bench axis) is taken. Its stamp will not do: the stamps
  /// of a flood run ahead of the clock.
  [[nodiscard]] bool take(TimeUs time_us) {
    if (left_ < most_at_once) {
      left_ = std::min(most_at_once, left_ + most_per_s * to_s(time_us - last_us_));
    }
    last_us_ = time_us;
    // Told once a flood, and again only after a minute without one.
    if (time_us - dropped_us_ > 60 * us_per_s) flooded_ = false;
    if (left_ < 1.0) {
      ++dropped_;
      dropped_us_ = time_us;
      return false;
    }
    left_ -= 1.0;
    return true;
  }
  /// Whether a flood has begun that nobody was told of yet.
  [[nodiscard]] bool is_news() {
    const bool news = !flooded_ && dropped_us_ == last_us_ && dropped_ > 0;
    flooded_ = flooded_ || news;
    return news;
  }
  /// Whether readings were dropped within the last second before `now_us`.
  [[nodiscard]] bool is_flooded(TimeUs now_us) const {
    return dropped_ > 0 && now_us - dropped_us_ <= us_per_s;
  }
  [[nodiscard]] std::uint64_t dropped() const { return dropped_; }

 private:
  double left_ = most_at_once;
  TimeUs last_us_ = 0;
  TimeUs dropped_us_ = 0;
  std::uint64_t dropped_ = 0;
  bool flooded_ = false;
};

}  // namespace nestcup::daemon

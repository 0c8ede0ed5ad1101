// HoldOff: when a device that did not answer may be asked again.
#pragma once

#include <algorithm>

#include "core/base/clock.hpp"

namespace nestcup::drivers {

/// After a question without an answer nothing is asked for as long again, so that an answer that
/// comes late meets no other question; a device that stays dumb is asked more and more seldom, up
/// to every 5 s, and does not keep its neighbours on the line waiting.
class HoldOff {
 public:
  /// @param answer_s  how long an answer may take, s
  explicit HoldOff(double answer_s) : shortest_us_(to_us(answer_s)), next_us_(shortest_us_) {}

  [[nodiscard]] bool may_ask(TimeUs now_us) const { return now_us >= until_us_; }
  void answered() {
    next_us_ = shortest_us_;
    until_us_ = 0;
  }
  /// @param dumb  nothing at all came; else the line lives, though what came was no answer
  void unanswered(TimeUs now_us, bool dumb = true) {
    if (!dumb) next_us_ = shortest_us_;
    until_us_ = now_us + next_us_;
    if (dumb) next_us_ = std::max(shortest_us_, std::min(2 * next_us_, longest_us));
  }

 private:
  static constexpr TimeUs longest_us = 5 * us_per_s;

  TimeUs shortest_us_;
  TimeUs next_us_;
  TimeUs until_us_ = 0;
};

}  // namespace nestcup::drivers

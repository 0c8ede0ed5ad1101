// LineAsking: one request a round, answered by a line.
#pragma once

#include <string>
#include <utility>

#include "core/base/clock.hpp"
#include "drivers/protocol/hold_off.hpp"

namespace nestcup::drivers {

/// The state of a device that is asked by one fixed request and answers with a line.
class LineAsking {
 public:
  /// @param request   empty for devices that talk by themselves
  /// @param answer_s  how long an answer may take, s
  LineAsking(std::string request, double answer_s)
      : request_(std::move(request)), hold_off_(answer_s) {}

  [[nodiscard]] const std::string& request() const { return request_; }
  [[nodiscard]] bool is_answered() const { return answered_; }
  /// The request, then nothing: that round is over. Nothing, too, while the device is left alone.
  [[nodiscard]] std::string next(TimeUs now_us) {
    asked_ = !asked_ && hold_off_.may_ask(now_us);
    if (!asked_) return {};
    answered_ = false;
    return request_;
  }
  void answered() {
    answered_ = true;
    hold_off_.answered();
  }
  void unanswered(TimeUs now_us) {
    answered_ = true;
    hold_off_.unanswered(now_us);
  }
  void reset() {
    asked_ = false;
    answered_ = true;
    hold_off_.answered();
  }

 private:
  std::string request_;
  HoldOff hold_off_;
  bool asked_ = false;  // in the round under way
  bool answered_ = true;
};

}  // namespace nestcup::drivers

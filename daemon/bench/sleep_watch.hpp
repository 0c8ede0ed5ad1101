// Whether the machine has slept: the boot clock goes on in a sleep, the steady one does not.
#pragma once

#include "core/base/clock.hpp"

namespace nestcup::daemon {

class SleepWatch {
 public:
  SleepWatch();
  /// How long the machine slept since the last look, s; 0 where it did not.
  [[nodiscard]] double slept_s();

 private:
  TimeUs ahead_us_;  ///< boot clock less steady clock, at the last look
};

}  // namespace nestcup::daemon

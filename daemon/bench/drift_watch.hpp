// Whether a probe is steady: small drift and small scatter over the last half minute.
#pragma once

#include <optional>

#include "core/base/clock.hpp"
#include "daemon/bench/running_line.hpp"

namespace nestcup::daemon {

struct Drift {
  std::optional<double> K_per_min;        ///< over the last half minute; none of too few readings
  std::optional<TimeUs> steady_since_us;  ///< drift and scatter are within limits since then
};

class DriftWatch {
 public:
  void take(TimeUs time_us, double temperature_degC);
  [[nodiscard]] const Drift& drift() const { return drift_; }

 private:
  RunningLine line_;
  Drift drift_;
};

}  // namespace nestcup::daemon

// Whether a probe is steady: small drift and small scatter over the last half minute.
#pragma once

#include <deque>
#include <optional>

#include "core/analysis/point.hpp"
#include "core/base/clock.hpp"

namespace nestcup::daemon {

class DriftWatch {
 public:
  void take(TimeUs time_us, double temperature_degC);

  /// Drift over the last half minute; nothing while there are too few readings.
  [[nodiscard]] std::optional<double> drift_K_per_min() const { return drift_K_per_min_; }
  /// Since when drift and scatter are within limits; nothing while they are not.
  [[nodiscard]] std::optional<TimeUs> steady_since_us() const { return steady_since_us_; }

 private:
  struct Seen {
    TimeUs time_us;
    double temperature_degC;
  };
  std::deque<Seen> seen_;
  std::optional<double> drift_K_per_min_;
  std::optional<TimeUs> steady_since_us_;
};

}  // namespace nestcup::daemon

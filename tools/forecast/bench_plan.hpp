// The bench that a forecast is made for: probes, intervals, and what is usual where nothing is
// said.
#pragma once

#include "core/sheet/bench_file.hpp"

namespace nestcup::forecast {

/// What of it a usual bench has is said in METHOD.md of core/chemistry, section 12.
struct BenchPlan {
  double interval_s = 0.5;
  double after_period_s = 180.0;
  double noise_K = 0.008;  ///< scatter of single readings
  double step_K = 0.01;    ///< last digit; 0 for none
  /// Of the probes as bought; 0: they count as exact, as in the records of such a bench.
  double cup_tolerance_K = 0.2;
  double added_tolerance_K = 0.2;
  bool has_added = true;   ///< a probe in the second vessel
  bool one_probe = false;  ///< the cup's own probe is put into the second vessel first
  bool has_room = false;
  double least_lag_s = 3.0, most_lag_s = 6.0;  ///< of the probes in stirred liquid
};

/// Intervals, after period, probes and tolerances of a bench file.
[[nodiscard]] BenchPlan plan_of(const BenchFile& bench);

}  // namespace nestcup::forecast

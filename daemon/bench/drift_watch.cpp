#include "daemon/bench/drift_watch.hpp"

#include <cmath>

namespace nestcup::daemon {
namespace {

constexpr TimeUs window_us = 30 * us_per_s;
constexpr TimeUs least_span_us = 18 * us_per_s;
constexpr std::size_t least_readings = 4;
constexpr double steady_drift_K_per_min = 0.1;
constexpr double steady_scatter_K = 0.05;

}  // namespace

void DriftWatch::take(TimeUs time_us, double temperature_degC) {
  line_.push(time_us, temperature_degC);
  line_.drop_before(time_us - window_us);
  drift_.K_per_min.reset();
  bool steady = false;
  if (line_.size() >= least_readings && line_.span_us() >= least_span_us) {
    drift_.K_per_min = line_.slope_K_per_s() * 60.0;
    steady =
        std::abs(*drift_.K_per_min) <= steady_drift_K_per_min && line_.sd_K() <= steady_scatter_K;
  }
  if (!steady) drift_.steady_since_us.reset();
  if (steady && !drift_.steady_since_us) drift_.steady_since_us = time_us;
}

}  // namespace nestcup::daemon

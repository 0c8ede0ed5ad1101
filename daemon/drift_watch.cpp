#include "daemon/drift_watch.hpp"

#include <cmath>

#include "core/analysis/line_fit.hpp"

namespace nestcup::daemon {
namespace {

constexpr TimeUs window_us = 30 * us_per_s;
constexpr TimeUs least_span_us = 18 * us_per_s;
constexpr std::size_t least_readings = 4;
constexpr double steady_drift_K_per_min = 0.1;
constexpr double steady_scatter_K = 0.05;

}  // namespace

void DriftWatch::take(TimeUs time_us, double temperature_degC) {
  seen_.push_back({time_us, temperature_degC});
  while (seen_.front().time_us < time_us - window_us) seen_.pop_front();
  drift_K_per_min_.reset();
  bool steady = false;
  if (seen_.size() >= least_readings && time_us - seen_.front().time_us >= least_span_us) {
    Curve curve;
    for (const Seen& seen : seen_) {
      curve.push_back({to_s(seen.time_us - time_us), seen.temperature_degC});
    }
    const LineFit line = fit_line(curve);
    drift_K_per_min_ = line.slope_K_per_s * 60.0;
    steady = std::abs(*drift_K_per_min_) <= steady_drift_K_per_min && line.sd_K <= steady_scatter_K;
  }
  if (!steady) steady_since_us_.reset();
  if (steady && !steady_since_us_) steady_since_us_ = time_us;
}

}  // namespace nestcup::daemon

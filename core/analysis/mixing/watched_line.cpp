#include "core/analysis/mixing/watched_line.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr double fastest_leak_per_s = 2e-3;

}  // namespace

double shared_rounding_K(const Noise& noise) {
  return noise.sd_K < 0.4 * noise.step_K ? 2.0 * noise.step_K : 0.0;
}

double WatchedLine::distance_K(TimeUs time_us, double temperature_degC) const {
  return temperature_degC - fit.at(to_s(time_us - origin_us));
}

double WatchedLine::line_off_K(TimeUs time_us) const {
  const double time_s = to_s(time_us - origin_us);
  const double lead_s = std::abs(time_s - fit.reference_s);
  // A drift that leaks away bends, the more the longer the line is carried on.
  const double bend = std::max(0.1, 0.5 * fastest_leak_per_s * lead_s);
  return bend * std::abs(fit.slope_K_per_s) * lead_s +
         3.0 * doubt_of_few(fit.count) * fit.u_at(time_s);
}

double WatchedLine::explained_K(TimeUs time_us) const {
  return 4.5 * doubt_of_few(fit.count) * noise.sd_K +
         std::max(1.1 * noise.step_K, shared_rounding_K(noise)) + line_off_K(time_us);
}

double WatchedLine::explained_of_median_K(TimeUs time_us, std::size_t readings) const {
  // The median of normal readings scatters 1.25 times as much as their mean; readings that share
  // their rounding error are off together, by up to half a step, and so may the line be.
  const double u_K = 1.25 * noise.total_K() / std::sqrt(static_cast<double>(readings));
  const double rounding_K = shared_rounding_K(noise);
  return std::max(4.5 * doubt_of_few(fit.count) * u_K, rounding_K) + line_off_K(time_us);
}

}  // namespace nestcup

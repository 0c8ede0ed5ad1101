#include "core/analysis/readings/same_readings.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace nestcup {
namespace {

constexpr double unlikely_log = -20.7;       // ln 1e-9
constexpr std::size_t fewest_in_a_row = 10;  // fewer say nothing, however fine the display

}  // namespace

double same_probability(double noise_K, double step_K) {
  if (noise_K <= 0.0) return 1.0;
  if (step_K <= 0.0) return 0.0;
  const double half_step = step_K / (noise_K * 2.0 * std::numbers::sqrt2);
  const auto within = [&](double steps) { return std::erf(half_step * (2.0 * steps + 1.0)); };
  const double middle = within(0.0);
  double same = middle * middle;
  for (int k = 1; k <= 20; ++k) {
    const double one_side = 0.5 * (within(k) - within(k - 1));
    same += 2.0 * one_side * one_side;
  }
  return std::min(same, 1.0);
}

bool is_frozen(std::size_t equal_in_a_row, double same) {
  if (equal_in_a_row < fewest_in_a_row || same >= 1.0) return false;
  if (same <= 0.0) return true;
  return static_cast<double>(equal_in_a_row) * std::log(same) < unlikely_log;
}

}  // namespace nestcup

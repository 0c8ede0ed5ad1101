#include "tests/bench/firmware.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace nestcup::bench {
namespace {

constexpr std::size_t held = 4, last_ones = 5;
constexpr double smoothing = 0.2, printed_K = 0.01;

std::vector<double> newest(const std::vector<double>& readings, std::size_t i) {
  const std::size_t first = i + 1 - std::min(i + 1, last_ones);
  return {readings.begin() + static_cast<std::ptrdiff_t>(first),
          readings.begin() + static_cast<std::ptrdiff_t>(i + 1)};
}

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double median(std::vector<double> values) {
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

}  // namespace

void work_on(Firmware firmware, Curve& curve) {
  std::vector<double> readings;
  for (const Point& point : curve) readings.push_back(point.temperature_degC);
  double smooth = readings.empty() ? 0.0 : readings.front();
  for (std::size_t i = 0; i < readings.size(); ++i) {
    smooth += smoothing * (readings[i] - smooth);
    double sent = smooth;
    if (firmware == Firmware::holds) sent = readings[i - i % held];
    if (firmware == Firmware::means) sent = mean(newest(readings, i));
    if (firmware == Firmware::middles) sent = median(newest(readings, i));
    curve[i].temperature_degC = std::round(sent / printed_K) * printed_K;
  }
}

}  // namespace nestcup::bench

#include "core/analysis/settling.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace nestcup {
namespace {

constexpr std::size_t least_points = 5;
constexpr double least_span_s = 20.0;
constexpr double first_block_s = 15.0;

/// Parabola through a stretch of the curve, time scaled to -1 .. 1.
class Parabola {
 public:
  explicit Parabola(CurveView tail)
      : middle_s_(0.5 * (tail.front().time_s + tail.back().time_s)),
        half_s_(0.5 * (tail.back().time_s - tail.front().time_s)),
        level_(tail.front().temperature_degC) {
    Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
    Eigen::Vector3d right = Eigen::Vector3d::Zero();
    for (const Point& point : tail) {
      const Eigen::Vector3d row = terms(point.time_s);
      normal += row * row.transpose();
      right += row * (point.temperature_degC - level_);
    }
    coefficients_ = normal.ldlt().solve(right);
  }

  [[nodiscard]] double at(double time_s) const {
    return level_ + coefficients_.dot(terms(time_s));
  }

 private:
  [[nodiscard]] Eigen::Vector3d terms(double time_s) const {
    const double x = (time_s - middle_s_) / half_s_;
    return {1.0, x, x * x};
  }

  double middle_s_, half_s_, level_;
  Eigen::Vector3d coefficients_;
};

/// Whether the first block of `tail` lies on the parabola through all of it.
bool begins_settled(CurveView tail, const Noise& noise) {
  const Parabola parabola(tail);
  const double interval_s = median_interval_s(tail.first(std::min<std::size_t>(tail.size(), 9)));
  const double block_end_s = tail.front().time_s + std::max(first_block_s, 2.5 * interval_s);
  double sum = 0.0, squares = 0.0;
  std::size_t in_block = 0;
  for (const Point& point : tail) {
    const double residual = point.temperature_degC - parabola.at(point.time_s);
    squares += residual * residual;
    if (point.time_s < block_end_s) {
      sum += residual;
      ++in_block;
    }
  }
  const auto n = static_cast<double>(tail.size());
  const double sd = std::max({std::sqrt(squares / std::max(1.0, n - 3.0)), noise.sd_K, 5e-4});
  // Rounded readings of a slow course share their rounding error over the whole block.
  const double rounding = noise.sd_K < 0.4 * noise.step_K ? 0.2 * noise.step_K : 0.0;
  const double allowed = 2.5 * std::hypot(sd / std::sqrt(static_cast<double>(in_block)), rounding);
  const double mean = sum / static_cast<double>(in_block);
  const double first = tail.front().temperature_degC - parabola.at(tail.front().time_s);
  return std::abs(mean) <= allowed && std::abs(first) <= 4.0 * std::hypot(sd, 0.5 * noise.step_K);
}

}  // namespace

std::optional<double> settled_from(CurveView curve, const Noise& noise) {
  const auto long_enough = [&](std::size_t i) {
    return i + least_points <= curve.size() &&
           curve.back().time_s - curve[i].time_s >= least_span_s;
  };
  std::size_t step = 1;
  for (std::size_t i = 0; long_enough(i); i += step) {
    if (begins_settled(curve.subspan(i), noise)) return curve[i].time_s;
    // Candidates need be no closer than a twentieth of the way already gone.
    const double ahead_s = 0.05 * (curve[i].time_s - curve.front().time_s);
    step = 1;
    while (long_enough(i + step) && curve[i + step].time_s - curve[i].time_s < ahead_s) ++step;
  }
  return std::nullopt;
}

}  // namespace nestcup

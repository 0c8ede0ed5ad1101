#include "core/analysis/settling.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

#include "core/analysis/line_fit.hpp"

namespace nestcup {
namespace {

constexpr std::size_t least_points = 5;
constexpr double least_span_s = 20.0;
constexpr double first_block_s = 15.0;
constexpr std::array rest_delays_s{4.0, 12.0, 30.0};  // lags of probes, releases of heat
constexpr double rest_factor = 3.0;

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

  [[nodiscard]] double at(double time_s) const { return level_ + coefficients_.dot(terms(time_s)); }

 private:
  [[nodiscard]] Eigen::Vector3d terms(double time_s) const {
    const double x = (time_s - middle_s_) / half_s_;
    return {1.0, x, x * x};
  }

  double middle_s_, half_s_, level_;
  Eigen::Vector3d coefficients_;
};

/// How a stretch lies on its parabola.
struct Misfit {
  double block_mean_K = 0.0;  ///< mean residual of the first block
  double block_count = 0.0;
  double clipped_squares_K2 = 0.0;  ///< sum over all, lone knocks cut at four times the scatter
};

Misfit misfit(CurveView tail, const Parabola& parabola, double single_K) {
  Misfit sums;
  const double interval_s = median_interval_s(tail.first(std::min<std::size_t>(tail.size(), 9)));
  const double block_end_s = tail.front().time_s + std::max(first_block_s, 2.5 * interval_s);
  for (const Point& point : tail) {
    const double residual = point.temperature_degC - parabola.at(point.time_s);
    const double clipped = std::clamp(residual, -4.0 * single_K, 4.0 * single_K);
    sums.clipped_squares_K2 += clipped * clipped;
    if (point.time_s < block_end_s) {
      sums.block_mean_K += residual;
      sums.block_count += 1.0;
    }
  }
  sums.block_mean_K /= sums.block_count;
  return sums;
}

/// Whether a first-order rest that dies out over the tail shows beside the parabola: its amplitude
/// by least squares against its scatter.
bool rest_shows(CurveView tail, const Parabola& parabola, double single_K, double rounding_K) {
  for (const double delay_s : rest_delays_s) {
    Curve shape;
    shape.reserve(tail.size());
    for (const Point& point : tail) {
      shape.push_back({point.time_s, std::exp((tail.front().time_s - point.time_s) / delay_s)});
    }
    // What a parabola cannot take of the exponential tells its amplitude alone.
    const Parabola taken(shape);
    double product = 0.0, square = 0.0;
    for (std::size_t i = 0; i < tail.size(); ++i) {
      const double left = shape[i].temperature_degC - taken.at(shape[i].time_s);
      const double residual = tail[i].temperature_degC - parabola.at(tail[i].time_s);
      product += left * std::clamp(residual, -4.0 * single_K, 4.0 * single_K);
      square += left * left;
    }
    if (square <= 0.0) continue;
    const double u_K = std::hypot(single_K / std::sqrt(square), rounding_K);
    if (std::abs(product / square) > rest_factor * u_K) return true;
  }
  return false;
}

/// Whether the first block of `tail` lies on the parabola through all of it, and the rest, too.
bool begins_settled(CurveView tail, const Noise& noise) {
  const double single_K = std::max(noise.total_K(), 5e-4);
  const Parabola parabola(tail);
  const Misfit sums = misfit(tail, parabola, single_K);
  const auto n = static_cast<double>(tail.size());
  const double sd_K = std::sqrt(sums.clipped_squares_K2 / std::max(1.0, n - 3.0));
  if (sd_K > (1.5 + 2.0 / std::sqrt(n)) * single_K) return false;
  // Rounded readings of a slow course share their rounding error over the whole block.
  const double rounding_K = noise.sd_K < 0.4 * noise.step_K ? 0.2 * noise.step_K : 0.0;
  const double scatter_of_mean_K = std::max(sd_K, single_K) / std::sqrt(sums.block_count);
  const double first_K = tail.front().temperature_degC - parabola.at(tail.front().time_s);
  return std::abs(sums.block_mean_K) <= 2.5 * std::hypot(scatter_of_mean_K, rounding_K) &&
         std::abs(first_K) <= 4.0 * std::hypot(sd_K, 0.5 * noise.step_K) &&
         !rest_shows(tail, parabola, single_K, rounding_K);
}

/// Whether the mean drift of `tail` is one that a leak can make: no open cup leaks faster than
/// 2e-3 per s of what it is away from rest, and what drifted before may drift on.
bool drifts_as_a_leak(CurveView tail, const FormerCourse& former) {
  constexpr double fastest_leak_per_s = 2e-3;
  constexpr double any_drift_K_per_s = 1.5e-3;
  const LineFit line = fit_line(tail);
  const double away_K = std::abs(line.at(tail.front().time_s) - former.level_degC);
  return std::abs(line.slope_K_per_s) <= fastest_leak_per_s * away_K + any_drift_K_per_s +
                                             1.2 * std::abs(former.drift_K_per_s) +
                                             3.0 * line.u_slope_K_per_s;
}

}  // namespace

std::optional<double> settled_from(CurveView curve, const Noise& noise,
                                   const std::optional<FormerCourse>& former) {
  const auto long_enough = [&](std::size_t i) {
    return i + least_points <= curve.size() &&
           curve.back().time_s - curve[i].time_s >= least_span_s;
  };
  std::size_t step = 1;
  for (std::size_t i = 0; long_enough(i); i += step) {
    const CurveView tail = curve.subspan(i);
    if (begins_settled(tail, noise) && (!former || drifts_as_a_leak(tail, *former))) {
      return curve[i].time_s;
    }
    // Candidates need be no closer than a twentieth of the way already gone.
    const double ahead_s = 0.05 * (curve[i].time_s - curve.front().time_s);
    step = 1;
    while (long_enough(i + step) && curve[i + step].time_s - curve[i].time_s < ahead_s) ++step;
  }
  return std::nullopt;
}

}  // namespace nestcup

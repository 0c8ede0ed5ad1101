#include "core/analysis/carried_probe.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <cmath>

namespace nestcup {
namespace {

constexpr double shortest_s = 1.5, longest_s = 20.0;
constexpr double much_worse = 40.0;  // difference of the sums of squares over the variance

/// Times of one way: when it begins, how long it stays in air, how fast the probe follows in water.
struct Way {
  double begin_s = 0.0, air_s = 0.0, lag_s = 1.0;
};

struct WayFit {
  double squares_K2 = INFINITY;
  double air_K = 0.0, u_air_K = INFINITY;  ///< how far the air moved the probe
  std::size_t in_air = 0;
};

/// The way with the best slope in air and the best drift behind (linear least squares).
WayFit fit_way(CurveView curve, const LineFit& fore, const Way& way, double scatter_K) {
  Eigen::Matrix3d normal = Eigen::Matrix3d::Identity() * 1e-9;
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  double squares = 0.0;
  WayFit fit;
  for (const Point& point : curve) {
    const double y = point.temperature_degC - fore.at(point.time_s);
    const double since_s = point.time_s - way.begin_s, wet_s = since_s - way.air_s;
    Eigen::Vector3d row = Eigen::Vector3d::Zero();
    if (since_s > 0.0 && wet_s <= 0.0) {
      row(0) = since_s / way.air_s;
      ++fit.in_air;
    } else if (wet_s > 0.0) {
      const double left = std::exp(-wet_s / way.lag_s);
      row = {left, 1.0 - left, (1.0 - left) * wet_s};
    }
    normal.noalias() += row * row.transpose();
    right += row * y;
    squares += y * y;
  }
  const auto solver = normal.ldlt();
  const Eigen::Vector3d solution = solver.solve(right);
  fit.squares_K2 = std::max(0.0, squares - solution.dot(right));
  fit.air_K = solution(0);
  fit.u_air_K = scatter_K * std::sqrt(solver.solve(Eigen::Vector3d::Unit(0))(0));
  return fit;
}

bool is_possible(const Way& way) {
  return way.air_s >= shortest_s && way.air_s <= longest_s && way.lag_s >= 0.3 && way.lag_s <= 20.0;
}

/// Coarse search, then steps that are halved until they are hundredths of a second.
Way best_way(CurveView curve, const LineFit& fore, double onset_s, double scatter_K) {
  Way best;
  double least = INFINITY;
  const auto consider = [&](const Way& way) {
    if (!is_possible(way)) return false;
    const double squares = fit_way(curve, fore, way, scatter_K).squares_K2;
    if (squares >= least) return false;
    least = squares;
    best = way;
    return true;
  };
  for (double begin_s = onset_s - 18.0; begin_s <= onset_s + 1.0; begin_s += 2.0) {
    for (double air_s = shortest_s; air_s <= longest_s; air_s += 1.0) {
      for (const double lag_s : {0.7, 1.5, 3.0, 6.0, 12.0}) consider({begin_s, air_s, lag_s});
    }
  }
  for (double step = 1.0; step > 0.01;) {
    bool better = false;
    for (const double by : {-step, step}) {
      better |= consider({best.begin_s + by, best.air_s - by, best.lag_s});
      better |= consider({best.begin_s, best.air_s + by, best.lag_s});
      better |= consider({best.begin_s, best.air_s, best.lag_s * std::exp(0.5 * by)});
    }
    if (!better) step *= 0.5;
  }
  return best;
}

}  // namespace

bool was_carried(CurveView curve, const LineFit& fore, double onset_s, const Noise& noise,
                 double mixing_squares_K2) {
  constexpr std::size_t least_readings = 12;
  constexpr double part = 0.4;
  if (curve.size() < least_readings) return false;
  const double scatter_K = std::max(noise.total_K(), 5e-4);
  const double variance = scatter_K * scatter_K, n = static_cast<double>(curve.size());
  if (mixing_squares_K2 < (n + much_worse) * variance) return false;
  const Way way = best_way(curve, fore, onset_s, scatter_K);
  const WayFit fit = fit_way(curve, fore, way, scatter_K);
  const bool shows_air = fit.in_air >= 2 && std::abs(fit.air_K) > std::max(0.08, 5.0 * fit.u_air_K);
  const bool hidden = noise.sd_K < 0.4 * noise.step_K;
  const double most_K2 =
      hidden ? part * mixing_squares_K2 : (1.3 + 3.0 / std::sqrt(n)) * n * variance;
  return shows_air && mixing_squares_K2 > fit.squares_K2 + much_worse * variance &&
         fit.squares_K2 < most_K2;
}

}  // namespace nestcup

// A parabola through the rest of a curve from any of its points on, at a cost that does not depend
// on how long that rest is.
#pragma once

#include <Eigen/Dense>
#include <array>
#include <vector>

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Time constants of approaches that are looked for beside the parabola: lags of probes, releases
/// of heat.
inline constexpr std::array rest_delays_s{4.0, 12.0, 30.0};

/// A parabola by least squares through a tail of the curve.
struct TailFit {
  std::size_t count = 0;
  Eigen::Vector3d coefficients = Eigen::Vector3d::Zero();  ///< in seconds from the curve's end
  double squares_K2 = 0.0;                                 ///< sum of the squared residuals

  /// Amplitude at the tail's first point of a first-order approach beside the parabola, and the sum
  /// of squares of what a parabola cannot take of it (1 / its variance for unit scatter).
  struct Rest {
    double amplitude_K = 0.0, weight = 0.0;
  };
  std::array<Rest, rest_delays_s.size()> rests;
};

class TailSums {
 public:
  /// @param curve  at least one point; must outlive this
  explicit TailSums(CurveView curve);

  /// @param first  index of the tail's first point; at least 4 points must follow
  [[nodiscard]] TailFit fit(std::size_t first) const;
  /// Mean residual of the points [first, end) about a fit, K.
  [[nodiscard]] double mean_residual_K(const TailFit& fit, std::size_t first,
                                       std::size_t end) const;
  /// Residual of one point, K.
  [[nodiscard]] double residual_K(const TailFit& fit, std::size_t index) const;

 private:
  /// Sums over a tail; x in seconds from the curve's end, y in K from its last temperature, e the
  /// approaches, 1 at the tail's first point.
  struct Sums {
    std::array<double, 5> x{};  ///< of x^0 to x^4
    Eigen::Vector3d y = Eigen::Vector3d::Zero();
    double yy = 0.0;
    std::array<Eigen::Vector3d, rest_delays_s.size()> e{};
    std::array<double, rest_delays_s.size()> ee{}, ey{};
  };
  [[nodiscard]] double x(std::size_t index) const;
  [[nodiscard]] double y(std::size_t index) const;

  CurveView curve_;
  std::vector<Sums> sums_;  ///< one for each point, and an empty one behind the last
};

}  // namespace nestcup

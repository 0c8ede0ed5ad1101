#include "core/analysis/readings/quiet_wander.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/distributions/fisher_f.hpp>
#include <cmath>
#include <numbers>
#include <vector>

namespace nestcup {
namespace {

/// Blocks are short against the minute in which layers wander, and long against single readings.
constexpr double wander_block_s = 4.0;
constexpr std::size_t least_block_readings = 3;
/// A parabola takes away three of the blocks; with as many again there is something to see.
constexpr std::size_t least_blocks = 6;
constexpr double parabola = 3.0;
/// Stirred contents and good probes wander by 1 or 2 mK.
constexpr double usual_wander_K = 3e-3;
/// The staircase of a coarse display is no wander, however its errors hang together.
constexpr double rounding_factor = 2.0;
/// No scatter is taken to be smaller: digits that stand still scatter by nothing.
constexpr double least_wander_scatter_K = 5e-4;
constexpr double improbable = 1e-3;

/// Lengths (in readings) of the blocks that a stretch is cut into; a rest at the end belongs to
/// none.
std::vector<Eigen::Index> block_lengths(CurveView stretch) {
  std::vector<Eigen::Index> lengths;
  std::size_t from = 0;
  for (std::size_t i = 1; i < stretch.size(); ++i) {
    if (i - from < least_block_readings) continue;
    if (stretch[i].time_s - stretch[from].time_s < wander_block_s) continue;
    lengths.push_back(static_cast<Eigen::Index>(i - from));
    from = i;
  }
  return lengths;
}

/// Distances of the readings from the stretch's parabola by least squares, K.
Eigen::VectorXd off_parabola_K(CurveView stretch) {
  const auto count = static_cast<Eigen::Index>(stretch.size());
  const double middle_s = 0.5 * (stretch.front().time_s + stretch.back().time_s);
  const double half_s = 0.5 * (stretch.back().time_s - stretch.front().time_s);
  Eigen::MatrixXd powers(count, 3);
  Eigen::VectorXd values(count);
  for (Eigen::Index i = 0; i < count; ++i) {
    const Point& point = stretch[static_cast<std::size_t>(i)];
    const double x = (point.time_s - middle_s) / half_s;
    powers.row(i) = Eigen::RowVector3d(1.0, x, x * x);
    values(i) = point.temperature_degC - stretch.front().temperature_degC;
  }
  return values - powers * powers.colPivHouseholderQr().solve(values);
}

}  // namespace

double rounding_bias_K(const Noise& noise) {
  if (noise.step_K <= 0.0) return 0.0;
  const double share = noise.sd_K / noise.step_K;
  return noise.step_K / std::numbers::pi *
         std::exp(-2.0 * std::numbers::pi * std::numbers::pi * share * share);
}

bool Wander::shows() const {
  return probability < improbable && sd_K > least_K;
}

std::optional<Wander> wander_in(CurveView stretch, const Noise& noise) {
  const std::vector<Eigen::Index> lengths = block_lengths(stretch);
  if (lengths.size() < least_blocks) return std::nullopt;
  const Eigen::VectorXd off_K = off_parabola_K(stretch);
  double within_K2 = 0.0, readings = 0.0;
  std::vector<double> means_K;
  Eigen::Index from = 0;
  for (const Eigen::Index length : lengths) {
    const auto block = off_K.segment(from, length);
    means_K.push_back(block.mean());
    within_K2 += (block.array() - block.mean()).square().sum();
    readings += static_cast<double>(length);
    from += length;
  }
  const auto blocks = static_cast<double>(lengths.size());
  const double within_dof = readings - blocks;
  const double single_K2 =
      std::max(within_K2 / within_dof, least_wander_scatter_K * least_wander_scatter_K);
  const double bias_K = rounding_bias_K(noise);
  double ratio = 0.0, explained_K2 = 0.0;
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    const double variance_K2 = single_K2 / static_cast<double>(lengths[i]) + bias_K * bias_K;
    ratio += means_K[i] * means_K[i] / variance_K2 / (blocks - parabola);
    explained_K2 += variance_K2 / blocks;
  }
  const boost::math::fisher_f chance(blocks - parabola, within_dof);
  return Wander{std::sqrt(std::max(0.0, ratio - 1.0) * explained_K2),
                boost::math::cdf(boost::math::complement(chance, ratio)),
                std::max(usual_wander_K, rounding_factor * bias_K)};
}

}  // namespace nestcup

#include "core/analysis/run/second_pour.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/quiet_wander.hpp"
#include "core/analysis/rise/corrected_rise.hpp"

namespace nestcup {
namespace {

/// Fine enough to see a valley between two pours, coarse enough for slopes.
constexpr double flow_block_s = 4.0;
constexpr std::size_t least_flow_readings = 3;
/// A flow that grows again to more than twice what it had come down to from as much.
constexpr double regrown = 2.0;
/// At rest before a flow of the other sign: slower than a quarter of it, for two slopes in a row.
/// (A reaction that cools first and warms then turns at once.)
constexpr double at_rest = 0.25;
constexpr std::size_t rest_slopes = 2;
/// The new flow stands out of the scatter of slopes, and makes a step that would be a mixing.
constexpr double significant_flow = 6.0;
constexpr double least_pour_K = 0.15;
constexpr double least_pour_noises = 8.0;

struct FlowBlock {
  double begin_s = 0.0, time_s = 0.0, level_K = 0.0, readings = 0.0;
};

std::vector<FlowBlock> blocks_of(const Curve& course) {
  std::vector<FlowBlock> blocks;
  FlowBlock block;
  for (std::size_t i = 0; i < course.size(); ++i) {
    const Point& point = course[i];
    if (block.readings == 0.0) block.begin_s = point.time_s;
    block.readings += 1.0;
    block.time_s += (point.time_s - block.time_s) / block.readings;
    block.level_K += (point.temperature_degC - block.level_K) / block.readings;
    const double next_s = i + 1 < course.size() ? course[i + 1].time_s : INFINITY;
    if (block.readings >= least_flow_readings && next_s - block.begin_s >= flow_block_s) {
      blocks.push_back(block);
      block = {};
    }
  }
  return blocks;
}

double slope_between(const FlowBlock& a, const FlowBlock& b) {
  return (b.level_K - a.level_K) / (b.time_s - a.time_s);
}

double u_slope_between(const FlowBlock& a, const FlowBlock& b, const Noise& noise) {
  const double scatter_K = noise.total_K() * std::sqrt(1.0 / a.readings + 1.0 / b.readings);
  return std::hypot(scatter_K, rounding_bias_K(noise)) / (b.time_s - a.time_s);
}

/// Flow (K/s) between each block and the next.
std::vector<double> flows_of(const std::vector<FlowBlock>& blocks) {
  std::vector<double> flows;
  for (std::size_t i = 1; i < blocks.size(); ++i) {
    flows.push_back(slope_between(blocks[i - 1], blocks[i]));
  }
  return flows;
}

/// The flow from which flow `peak` set out: the last one before it that is a valley, or the last of
/// a rest.
std::optional<std::size_t> valley_before(const std::vector<double>& flows, std::size_t peak) {
  std::size_t resting = 0;
  for (std::size_t i = peak; i > 0; --i) {
    const double share = flows[i - 1] / flows[peak];
    resting = std::abs(share) < at_rest ? resting + 1 : 0;
    if (resting == rest_slopes) return i;
    if (share <= 0.0 || share * regrown > 1.0) continue;
    const bool had_come_down =
        std::any_of(flows.begin(), flows.begin() + static_cast<long>(i) - 1,
                    [&](double flow) { return flow / flows[i - 1] > regrown; });
    if (had_come_down) return i - 1;
  }
  return std::nullopt;
}

/// Mean level of the last third of the blocks.
double final_level_K(const std::vector<FlowBlock>& blocks) {
  const std::size_t from = blocks.size() - std::max<std::size_t>(1, blocks.size() / 3);
  double sum = 0.0;
  for (std::size_t i = from; i < blocks.size(); ++i) sum += blocks[i].level_K;
  return sum / static_cast<double>(blocks.size() - from);
}

}  // namespace

std::optional<SecondPour> second_pour(CurveView curve, const HeatLeak& leak, const Noise& noise) {
  const std::vector<FlowBlock> blocks = blocks_of(adiabatic_course(curve, leak));
  const double least_K = std::max(least_pour_K, least_pour_noises * noise.total_K());
  const std::vector<double> flows = flows_of(blocks);
  std::optional<SecondPour> found;
  double strongest = 0.0;
  for (std::size_t i = 1; i < flows.size(); ++i) {
    const double flow = std::abs(flows[i]);
    if (flow < significant_flow * u_slope_between(blocks[i], blocks[i + 1], noise)) continue;
    const auto valley = valley_before(flows, i);
    if (!valley || flow <= strongest) continue;
    // The block behind the valley is the last that knows nothing of what follows.
    const FlowBlock& from = blocks[*valley + 1];
    const double step_K = final_level_K(blocks) - from.level_K;
    const bool first_came = std::abs(from.level_K) > least_K;
    if (!first_came || std::abs(step_K) < least_K || step_K * flows[i] < 0.0) continue;
    strongest = flow;
    found = SecondPour{from.time_s, step_K};
  }
  return found;
}

}  // namespace nestcup

#include "sim/layers.hpp"

#include <cmath>

namespace nestcup::sim {

namespace {

/// The first stream of random numbers, behind those of probes, faults and the board.
constexpr std::uint64_t first_stream = 2000;
constexpr double knots_per_correlation_time = 20.0;

}  // namespace

Layers::Layers(const std::optional<LayerSettings>& settings, bool stirred, std::uint64_t seed,
               std::size_t probes)
    : settings_(settings), goal_(stirred ? 0.0 : 1.0), built_up_(goal_) {
  if (!settings_) return;
  knot_s_ = settings_->wander_s / knots_per_correlation_time;
  for (std::size_t i = 0; i < probes; ++i) {
    walks_.push_back({Random(seed, first_stream + i), {}});
    Walk& walk = walks_.back();
    walk.knots.push_back(walk.random.gaussian());
  }
  draw_until(0.0);
}

void Layers::set_stirred(bool stirred, double time_s) {
  if (!settings_) return;
  built_up_ = built_up(time_s);
  since_s_ = time_s;
  goal_ = stirred ? 0.0 : 1.0;
}

void Layers::draw_until(double time_s) {
  const double kept = std::exp(-1.0 / knots_per_correlation_time);
  const double fresh = std::sqrt(1.0 - kept * kept);
  for (Walk& walk : walks_) {
    // One knot behind for the straight line to it, and one for rounding.
    const auto count = static_cast<std::size_t>(time_s / knot_s_) + 3;
    while (walk.knots.size() < count) {
      walk.knots.push_back(kept * walk.knots.back() + fresh * walk.random.gaussian());
    }
  }
}

double Layers::built_up(double time_s) const {
  return goal_ + (built_up_ - goal_) * std::exp((since_s_ - time_s) / settings_->settle_s);
}

double Layers::offset_K(std::size_t probe, double time_s) const {
  if (!settings_) return 0.0;
  const std::vector<double>& knots = walks_[probe].knots;
  const double place = time_s / knot_s_;
  const auto knot = static_cast<std::size_t>(place);
  const double share = place - static_cast<double>(knot);
  const double walked = knots[knot] + share * (knots[knot + 1] - knots[knot]);
  return settings_->wander_K * built_up(time_s) * walked;
}

}  // namespace nestcup::sim

// Contents that nobody stirs: the liquid around each probe wanders slowly about their mean.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "sim/random.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// An Ornstein-Uhlenbeck process (Phys. Rev. 36, 1930, 823) around each probe, times how far the
/// layers have built up. The process is drawn at even times and straight in between, so that it
/// does not depend on when the bench is read; its spread is 1 % short of the settings for that.
class Layers {
 public:
  /// @param settings  nothing: the contents are always well mixed, and nothing is drawn
  /// @param stirred   whether they are at time 0; if not, the layers are there already
  Layers(const std::optional<LayerSettings>& settings, bool stirred, std::uint64_t seed,
         std::size_t probes);

  void set_stirred(bool stirred, double time_s);
  /// Draws the process up to a scenario time (s).
  void draw_until(double time_s);
  /// How much warmer than the contents' mean it is around a probe (K), up to the time drawn.
  [[nodiscard]] double offset_K(std::size_t probe, double time_s) const;

 private:
  struct Walk {
    Random random;
    std::vector<double> knots;  ///< in standard deviations
  };
  [[nodiscard]] double built_up(double time_s) const;

  std::optional<LayerSettings> settings_;
  double knot_s_ = 1.0;
  std::vector<Walk> walks_;
  double goal_;      ///< 0 stirred, 1 not
  double built_up_;  ///< at since_s_
  double since_s_ = 0.0;
};

}  // namespace nestcup::sim

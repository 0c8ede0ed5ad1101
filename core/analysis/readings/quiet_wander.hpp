// Slow wander of the readings where the course is quiet: contents that nobody stirs lie in layers.
#pragma once

#include <optional>

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// What the means over blocks of neighbouring readings scatter about a stretch's parabola beyond
/// what the scatter within the blocks and the rounding explain (analysis of variance).
struct Wander {
  double sd_K = 0.0;         ///< of the blocks, the explained part taken off
  double probability = 1.0;  ///< of at least this scatter where readings do not hang together
  double least_K = 0.0;      ///< what good probes, stirred contents and the display may do

  [[nodiscard]] bool shows() const;
};

/// @param stretch  without mixing, knocks and heating: slow drift
/// @return nothing where the stretch is too short to tell
[[nodiscard]] std::optional<Wander> wander_in(CurveView stretch, const Noise& noise);

/// Largest error (K) that the rounding leaves in a mean over many readings of the same temperature:
/// the first harmonic of the rounding error's expectation (Widrow, Kollar: Quantization Noise,
/// 2008, chapter 4), step/pi without noise and next to nothing from noise of half a step on.
[[nodiscard]] double rounding_bias_K(const Noise& noise);

}  // namespace nestcup

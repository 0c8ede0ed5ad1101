// Lone readings that stand out on one side of everything around them: the stirrer bar at the probe,
// a bad contact. No course of a mixing looks like that.
#pragma once

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

struct KnockFree {
  Curve curve;
  std::size_t knocks = 0;    ///< how often
  std::size_t readings = 0;  ///< how many readings are left out
  Curve left_out;            ///< these readings
};

/// A stretch of at most three readings, or three seconds, is a knock when all of it lies beyond the
/// two readings on either side of it, and beyond where they lead, by more than six times the
/// scatter (steps of the display allowed for).
[[nodiscard]] KnockFree without_knocks(CurveView curve, const Noise& noise);

}  // namespace nestcup

// Where a probe stood still: the steady stretches of a curve, and whether each was in liquid.
#pragma once

#include <vector>

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// A stretch in which a probe had come to the temperature of the place where it was.
struct Plateau {
  double start_s = 0.0;
  double end_s = 0.0;
  /// A probe comes to the temperature of liquid within seconds, to that of air within minutes.
  /// Where it was there from the beginning, or came from the same temperature, liquid is assumed.
  bool in_liquid = true;
  bool plunged = false;  ///< it was seen to come within seconds
};

/// Plateaus of at least eight seconds, in order.
/// @param curve  one probe's readings, degC
[[nodiscard]] std::vector<Plateau> plateaus(CurveView curve);

}  // namespace nestcup

// Readings that a port, a hub or a busy machine held back: they come in a bunch, and bear the time
// of their arrival, though they were taken at the probe's own pace.
#pragma once

#include <cstddef>

#include "core/analysis/readings/point.hpp"

namespace nestcup {

struct LateReadings {
  std::size_t put_back = 0;  ///< readings moved to where the pace has them
  std::size_t left_out = 0;  ///< of a bunch with losses: nobody knows when they were taken
  double from_s = 0.0;       ///< last punctual reading before the first bunch
  double longest_s = 0.0;    ///< for how long readings were held back at most
};

struct InTheirTime {
  Curve curve;
  LateReadings late{};
};

/// A silence of 1.2 intervals or more that ends with readings closer than the pace is a bunch (of
/// one, perhaps), up to where the readings lie on the pace of before again. Put back evenly where
/// as many came as the pace has, left out otherwise. Only where four fifths of the intervals lie
/// within a tenth of their median, and that is less than 5 s: a hand notes when it read.
[[nodiscard]] InTheirTime in_their_time(Curve curve);

}  // namespace nestcup

// What of a probe's readings counts: at the times at which they were taken, as the converter said
// them, and those only that tell something of their own.
#pragma once

#include <optional>

#include "core/analysis/readings/late_readings.hpp"

namespace nestcup {

struct CountedReadings {
  Curve curve;
  LateReadings late{};
  std::size_t one_in = 1;  ///< of so many readings one tells something of its own
  double uneven_K = 0.0;   ///< standard uncertainty of the place of each of the converter's values
};

/// @param onset_s  of the mixing about which readings are asked how far neighbours are alike, by
///                 what lies before it and behind it; not asked without
[[nodiscard]] CountedReadings counted_readings(Curve curve, std::optional<double> onset_s);

}  // namespace nestcup

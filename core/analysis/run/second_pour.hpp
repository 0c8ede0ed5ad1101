// A second mixing within the main period of the first.
#pragma once

#include <optional>

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"
#include "core/analysis/rise/heat_leak.hpp"

namespace nestcup {

struct SecondPour {
  double time_s = 0.0;
  double step_K = 0.0;  ///< about; what was still to come of the first counts as the second's
};

/// However slowly heat is set free, its flow only dies away. What comes to rest and then sets out
/// anew was given something new.
/// @param curve  from the mixing to the end of the run, without knocks
[[nodiscard]] std::optional<SecondPour> second_pour(CurveView curve, const HeatLeak& leak,
                                                    const Noise& noise);

}  // namespace nestcup

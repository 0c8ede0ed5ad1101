// Whether the two probes agree, seen where both stand in the same liquid.
#pragma once

#include <optional>

#include "core/analysis/run/run_periods.hpp"

namespace nestcup {

/// By how much the second vessel's probe shows more than the cup's.
struct ProbeOffset {
  double offset_K = 0.0;
  double u_K = 0.0;
};

/// The difference between the probes behind the mixing, where both stand in the cup: the second
/// probe left the course it was on, and now both drift down the after period together, or both took
/// part in the rise. What two probes show before a mixing never proves as much: equal cups of equal
/// waters drift alike, too.
/// @return nothing where it does not show that both stand in the same liquid
[[nodiscard]] std::optional<ProbeOffset> probe_offset(const RunPeriods& periods);

}  // namespace nestcup

// Labels in one row or column, each as near to its place as its neighbours allow.
#pragma once

#include <span>
#include <vector>

#include "core/report/drawing/ticks.hpp"

namespace nestcup {

/// Where labels begin that want to begin at `wanted` (rising) and are `sizes` long, so that `gap`
/// stays between neighbours and all lie within `row`: pushed onwards first, then back from the end.
/// Labels that are longer than the row together stand out at its beginning.
[[nodiscard]] std::vector<double> spread(std::vector<double> wanted, std::span<const double> sizes,
                                         double gap, const Range& row);

}  // namespace nestcup

// The findings of an analysed run.
#pragma once

#include <vector>

#include "core/analysis/findings.hpp"
#include "core/analysis/run_analysis.hpp"

namespace nestcup {

/// @param settled  whether the curve came to a slow drift after the mixing
[[nodiscard]] std::vector<Finding> check_run(const RunInput& input, const RunAnalysis& analysis,
                                             bool settled);

}  // namespace nestcup

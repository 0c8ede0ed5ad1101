// The findings of an analysed run.
#pragma once

#include <vector>

#include "core/analysis/run/findings.hpp"
#include "core/analysis/run/rise_choice.hpp"
#include "core/analysis/run/run_analysis.hpp"

namespace nestcup {

[[nodiscard]] std::vector<Finding> check_run(const RunPeriods& periods, const RiseChoice& choice,
                                             const RunAnalysis& analysis);

}  // namespace nestcup

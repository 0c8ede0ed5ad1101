// From an analysed run to its chart.
#pragma once

#include <string>

#include "core/record/replay.hpp"
#include "core/report/run_chart.hpp"

namespace nestcup {

/// Readings, periods, both fitted courses to the equal-area time, and the rise.
[[nodiscard]] RunChart run_chart(const ReplayedRun& run, const std::string& title);

}  // namespace nestcup

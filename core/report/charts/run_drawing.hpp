// From an analysed run to its chart.
#pragma once

#include <string>

#include "core/record/replay.hpp"
#include "core/report/charts/run_chart.hpp"

namespace nestcup {

/// Readings, periods, the fitted course or both lines to the equal-area time, the rise, and what
/// the fit leaves of every reading.
[[nodiscard]] RunChart run_chart(const ReplayedRun& run, const std::string& title,
                                 Language language = Language::english);

/// The same chart with readings, mixing and periods alone: nothing that the rise follows from.
[[nodiscard]] RunChart without_rise(RunChart chart);

}  // namespace nestcup

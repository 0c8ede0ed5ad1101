// The working of a whole sheet: each run, each trial's mean, the constant, the cycle.
#pragma once

#include "core/chemistry/results.hpp"
#include "core/sheet/sheet.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// Parts in the order in which a reader needs them: runs and means of the trials for the
/// calorimeter constant, the constant, runs and means of the other trials in the sheet's order, the
/// cycle. Trials that gave nothing have no part. The result of each part is, to rounding, what
/// `results` has.
/// @param results  as work_out gave them for this sheet
[[nodiscard]] Working working_of(const Sheet& sheet, const Results& results);

}  // namespace nestcup

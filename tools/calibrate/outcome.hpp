// What `nestcup calibrate` prints.
#pragma once

#include <string>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/store/store.hpp"
#include "tools/calibrate/guide.hpp"

namespace nestcup {

/// A correction in words: what is added, and how well it is known at 0 to 60 degC and in a rise.
[[nodiscard]] std::string correction_text(const Calibration& calibration);

/// Points with their residuals, and the correction. `stored` as the daemon's answer lists it.
[[nodiscard]] std::string fit_text(const std::vector<MeasuredPoint>& points, const Json& answer,
                                   bool colour);

/// One line for each row of a store.
[[nodiscard]] std::string list_text(const std::vector<StoredCalibration>& rows, bool colour);

}  // namespace nestcup

// Calibrations as records, exports and answers carry them.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>

#include "core/analysis/run/run_analysis.hpp"
#include "core/base/calibration.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// A correction as a record's probe carries it: {"number", "kind", "at", "reference_degC",
/// "offset_K", "slope_K_per_K", "covariance_K", "points", "from_degC", "to_degC", "against",
/// "valid_days"}.
[[nodiscard]] nlohmann::ordered_json calibration_json(const StoredCalibration& correction,
                                                      double valid_days);

/// Any row of a store, for lists and answers.
[[nodiscard]] nlohmann::ordered_json stored_calibration_json(const StoredCalibration& row);

/// The calibration of a record's probe; nothing where it has none or a damaged one.
[[nodiscard]] std::optional<Calibration> calibration_in(const nlohmann::ordered_json& probe);

/// Age of the oldest calibration of the probes of cup and second vessel, in a record's `probes`.
/// Times count in whole milliseconds, as records carry them.
[[nodiscard]] std::optional<CalibrationAge> oldest_calibration(const nlohmann::ordered_json& probes,
                                                               TimeUs started_wall_us);

}  // namespace nestcup

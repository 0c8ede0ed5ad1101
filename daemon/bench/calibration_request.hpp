// What a client asks to be stored of a probe, as rows for the store.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/calibration/calibration_fit.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// The rows to add, in order, and the fit where there is one.
struct CalibrationRequest {
  std::vector<StoredCalibration> rows;
  std::optional<CalibrationFit> fit;
  bool drop_run = false;
};

/// Understands the body of POST /v1/calibrations:
///   {"probe", "kind": "auto" | "offset" | "line", "points": [{"true_degC", "u_true_K",
///    "reading_degC", "u_reading_K", "source"}]}: readings as the probe shows them, uncorrected;
///   {"probe", "kind": "difference", "other", "reading_degC", "other_reading_degC",
///    "u_difference_K", "apply": true | false};
///   {"probe", "kind": "time constant", "value_s", "u_s"};
///   {"probe", "kind": "again", "number"}, or without a number: what held before the newest change;
///   {"probe", "kind": "none"}: the probe is read as it is. Each may have a "note", and
/// "drop_run": true where the asker saw no run under way before the probe was moved.
/// An applied difference corrects the probe to agree with the other one; where they are the cup's
/// and the second vessel's, it is always the second vessel's that is corrected.
/// @param rows  all rows of the store
/// @errors usage: a key is missing or wrong; no_input: no such probe; else as fit_calibration
[[nodiscard]] Result<CalibrationRequest> read_calibration_request(
    const nlohmann::json& body, const BenchFile& file, const std::vector<StoredCalibration>& rows);

}  // namespace nestcup::daemon

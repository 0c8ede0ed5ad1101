// From points of comparison to the calibration of a probe.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/calibration.hpp"
#include "core/base/result.hpp"

namespace nestcup {

/// A probe's mean reading beside the temperature that it should have shown.
struct CalibrationPoint {
  double true_degC = 0.0;
  double u_true_K = 0.0;  ///< standard uncertainty; 0 (with u_reading_K) where nothing is known
  double reading_degC = 0.0;
  double u_reading_K = 0.0;  ///< of the mean
  std::string source{};      ///< "ice", "steam", "reference" or the name of another probe

  /// What has to be added to the reading.
  [[nodiscard]] double correction_K() const { return true_degC - reading_degC; }
  [[nodiscard]] double u_K() const;
};

struct CalibrationFit {
  Calibration calibration;
  std::vector<double> residuals_K;  ///< of each point: its correction less the fitted one
  double rms_K = 0.0;               ///< root of their mean square
  double surplus = 1.0;             ///< by what the scatter is larger than the u of the points say
};

/// Fits an offset (weighted mean) or a line (weighted least squares about the weighted middle of
/// the readings, so that offset and slope are uncorrelated). The u of the points weigh; where the
/// points scatter by more than their u, all u grow with it (ratio of Birge). Points without any u
/// weigh alike, and their scatter tells the u (GUM, H.3).
///
/// Points of one source share an error, say of the reference thermometer. To be on the safe side
/// the offset's u takes the u_true_K of one source as wholly shared (it does not shrink with the
/// number of points), the slope's as wholly independent.
///
/// @param u_slope_otherwise  what is known of the slope beforehand (slope_u_of_tolerance), for an
///                           offset from points at one temperature; 0 where nothing is
/// @errors usage: too few points, at too near temperatures, or without any u; bad_data: a point is
///         off by more than any usable probe, or the slope is
[[nodiscard]] Result<CalibrationFit> fit_calibration(std::span<const CalibrationPoint> points,
                                                     CalibrationKind kind,
                                                     double u_slope_otherwise = 0.0);

/// A line where the points allow one (two or more, at least 5 K apart), else an offset.
[[nodiscard]] CalibrationKind usual_kind(std::span<const CalibrationPoint> points);

}  // namespace nestcup

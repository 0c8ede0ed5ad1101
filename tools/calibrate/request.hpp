// The options of `nestcup calibrate` as checked values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup {

enum class PointKind { ice, reference, steam };

/// What the probe is to be held against.
struct PlannedPoint {
  PointKind kind = PointKind::ice;
  double true_degC = 0.0;
  double u_K = 0.0;
};

struct CalibrateRequest {
  std::string probe;
  std::vector<PlannedPoint> points;  ///< empty: asked for one after the other
  std::string kind = "auto";         ///< auto | offset | line
  std::optional<double> u_mK;        ///< of the references, or instead of the usual ones
  double pressure_u_hPa = 1.0;
  double average_s = 60.0;
  double patience_s = 1800.0;
  std::string note;
  bool ask = true;  ///< wait for the Enter key before each point
};

/// Ice and water, well made and stirred: 0 degC, u = 5 mK (common practice).
[[nodiscard]] PlannedPoint ice_point(std::optional<double> u_mK);
/// Steam over water that boils gently: IAPWS-IF97 at the pressure; u from the pressure's (about
/// 28 mK for each hPa) and 20 mK for what the vessel adds (common practice).
/// @errors usage: no pressure that air has on Earth
[[nodiscard]] Result<PlannedPoint> steam_point(double pressure_hPa, double pressure_u_hPa,
                                               std::optional<double> u_mK);
/// A reference thermometer; u = 50 mK where nothing is said of it.
/// @errors usage: out of -100 to 400 degC
[[nodiscard]] Result<PlannedPoint> reference_point(double degC, std::optional<double> u_mK);

/// @errors usage: the first option that is wrong or contradicts another
[[nodiscard]] Result<CalibrateRequest> read_calibrate_request(const cli::Parsed& parsed);

[[nodiscard]] std::string point_name(PointKind kind);

}  // namespace nestcup

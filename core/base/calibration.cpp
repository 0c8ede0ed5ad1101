#include "core/base/calibration.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup {

std::string_view calibration_kind_name(CalibrationKind kind) {
  return kind == CalibrationKind::line ? "line" : "offset";
}

std::optional<CalibrationKind> calibration_kind_named(std::string_view name) {
  if (name == "offset") return CalibrationKind::offset;
  if (name == "line") return CalibrationKind::line;
  return std::nullopt;
}

double Calibration::corrected_degC(double reading_degC) const {
  return reading_degC + offset_K + slope * (reading_degC - reference_degC);
}

double Calibration::reading_of_degC(double corrected_degC) const {
  return reference_degC + (corrected_degC - offset_K - reference_degC) / (1.0 + slope);
}

double Calibration::u_at_K(double reading_degC) const {
  const double away_K = reading_degC - reference_degC;
  const double variance =
      u_offset_K * u_offset_K + 2.0 * covariance_K * away_K + u_slope * u_slope * away_K * away_K;
  return std::sqrt(std::max(0.0, variance));
}

double Calibration::u_difference_K(double corrected_difference_K) const {
  return std::abs(corrected_difference_K / (1.0 + slope)) * u_slope;
}

double slope_u_of_tolerance(double tolerance_K) {
  constexpr double span_K = 50.0;
  return tolerance_K * std::sqrt(2.0 / 3.0) / span_K;
}

}  // namespace nestcup

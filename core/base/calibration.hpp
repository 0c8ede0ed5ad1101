// What a calibration says of a probe's readings: their correction, and how well it is known.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace nestcup {

/// So long a calibration counts where the bench file does not say otherwise: a year, as is usual
/// for thermometers in a laboratory (common practice).
inline constexpr double usual_valid_days = 365.0;

enum class CalibrationKind : std::uint8_t {
  offset,  ///< the same correction at every temperature
  line,    ///< a correction that changes in proportion to the temperature
};

[[nodiscard]] std::string_view calibration_kind_name(CalibrationKind kind);
[[nodiscard]] std::optional<CalibrationKind> calibration_kind_named(std::string_view name);

/// true = reading + offset_K + slope (reading - reference_degC), in degC; the form of JCGM 100:2008
/// (GUM), H.3. The uncertainties are standard ones (k = 1).
struct Calibration {
  CalibrationKind kind = CalibrationKind::offset;
  double reference_degC = 0.0;  ///< a reading; where the two parts are uncorrelated, as fitted here
  double offset_K = 0.0;        ///< correction at the reference
  double slope = 0.0;           ///< K of correction per K of reading; 0 for an offset
  double u_offset_K = 0.0;
  double u_slope = 0.0;       ///< of an offset, too: what it leaves open of the scale
  double covariance_K = 0.0;  ///< of offset and slope

  [[nodiscard]] double corrected_degC(double reading_degC) const;
  /// The reading that gives this corrected temperature; slope > -1.
  [[nodiscard]] double reading_of_degC(double corrected_degC) const;
  /// Standard uncertainty (K) that the correction of this reading has; noise of the reading is not
  /// in it.
  [[nodiscard]] double u_at_K(double reading_degC) const;
  /// The same of a difference of two corrected temperatures: a common offset cancels, an error of
  /// the slope does not.
  [[nodiscard]] double u_difference_K(double corrected_difference_K) const;
};

/// What the tolerance (K, > 0) of a probe as bought leaves open of its slope: two ends of a usual
/// span of 50 K may be off by it, each with a rectangular distribution (common practice).
[[nodiscard]] double slope_u_of_tolerance(double tolerance_K);

}  // namespace nestcup

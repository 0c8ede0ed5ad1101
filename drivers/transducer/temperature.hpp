// Temperature units to degC.
#pragma once

#include "core/sheet/port_settings.hpp"

namespace nestcup::drivers {

/// A temperature in degC.
///
/// degC passes unchanged, bit for bit. Kelvin: t = T - 273.15, which is exact by definition (SI
/// Brochure, 9th ed., 2.3.1); one rounding here, at most 2.9e-14 K below 512 K. Fahrenheit:
/// t = (f - 32) * 5 / 9, exact by definition (NIST SP 811, B.8); three roundings, under 1e-13 K
/// for -459.67 to 500 degF.
[[nodiscard]] constexpr double to_degC(double value, RawUnit unit) {
  switch (unit) {
    case RawUnit::degC:
      return value;
    case RawUnit::kelvin:
      return value - 273.15;
    case RawUnit::degF:
      return (value - 32.0) * 5.0 / 9.0;
    default:
      return value;
  }
}

}  // namespace nestcup::drivers

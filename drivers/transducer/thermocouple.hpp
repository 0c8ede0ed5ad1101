// Thermocouples B, E, J, K, N, R, S and T: temperature to emf and back, on the ITS-90.
//
// Range, degC: B 0 to 1820 (back: from 50), E -270 to 1000, J -210 to 1200, K -270 to 1372,
// N -270 to 1300, R and S -50 to 1768.1, T -270 to 400.
// Accuracy of the arithmetic: the reference function itself, in double precision. The way back
// solves that function, so that temperature -> emf -> temperature is within 1e-6 K (type J within
// 1e-5 K at 760 degC, where its reference function steps by 1.2e-6 K). What a real wire keeps to is
// another matter: IEC 60584-1, class 1, type K: 1.5 K or 0.4 %, type T: 0.5 K or 0.4 %.
// Source: NIST Monograph 175 (1993), IEC 60584-1 (2013).
#pragma once

#include <optional>

#include "core/sheet/transducer_settings.hpp"

namespace nestcup::drivers {

/// From the lowest to the highest temperature, both included.
struct DegCRange {
  double lowest_degC;
  double highest_degC;

  [[nodiscard]] constexpr bool holds(double degC) const {
    return degC >= lowest_degC && degC <= highest_degC;  // false for NaN as well
  }
};

/// Where the type's reference function is defined.
[[nodiscard]] DegCRange thermocouple_range(ThermocoupleType type);

/// Where its emf tells one temperature: the same, but for type B from 50 degC (below 42 degC each
/// emf belongs to two temperatures; the minimum is at 21 degC).
[[nodiscard]] DegCRange thermocouple_measuring_range(ThermocoupleType type);

/// The emf in uV with the reference junction at 0 degC.
/// @param degC  within thermocouple_range, otherwise the result is NaN
[[nodiscard]] double thermocouple_emf_uV(ThermocoupleType type, double degC);

/// The slope of thermocouple_emf_uV, uV/K.
[[nodiscard]] double thermocouple_slope_uV_per_K(ThermocoupleType type, double degC);

/// The temperature in degC at which the reference function has this emf (reference junction at
/// 0 degC), solved to rounding; nothing outside thermocouple_measuring_range, nor for NaN.
[[nodiscard]] std::optional<double> thermocouple_degC(ThermocoupleType type, double emf_uV);

/// The temperature of the measuring junction from the emf as it is measured, with the cold
/// junction at `cold_degC`: the cold junction's emf is added, and the sum is turned into a
/// temperature. (Adding temperatures instead is wrong by the curvature of the function.)
/// @return nothing where the cold junction is outside thermocouple_range, or the result outside
///         thermocouple_measuring_range
[[nodiscard]] std::optional<double> thermocouple_degC(ThermocoupleType type, double emf_uV,
                                                      double cold_degC);

}  // namespace nestcup::drivers

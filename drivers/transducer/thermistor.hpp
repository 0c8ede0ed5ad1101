// NTC thermistors: temperature and resistance, by Steinhart-Hart, by beta, by three points.
//
// Range: -60 to 250 degC. Accuracy of the arithmetic: rounding (under 1e-9 K there and back).
// Accuracy of the laws: Steinhart-Hart within some mK over 100 K where the coefficients are the
// probe's own, 0.1 to 0.2 K for an exchangeable probe; three points as good as the points, between
// them; beta 0.1 K within 10 K of its reference, half a kelvin 25 K off.
// Sources: J. S. Steinhart, S. R. Hart, "Calibration curves for thermistors", Deep-Sea Research 15
// (1968) 497-503; beta: IEC 60539-1.
#pragma once

#include <variant>

#include "core/base/result.hpp"
#include "core/sheet/transducer_settings.hpp"

namespace nestcup::drivers {

inline constexpr double lowest_thermistor_degC = -60.0;
inline constexpr double highest_thermistor_degC = 250.0;

/// Beta is a Steinhart-Hart law with c = 0.
[[nodiscard]] SteinhartHart steinhart_hart(const BetaLaw& law);

/// The law through three points, to rounding.
/// @errors bad_configuration: two points coincide, or they do not fall (which is wrong for an NTC)
[[nodiscard]] Result<SteinhartHart> steinhart_hart(const ThermistorPoints& points);

/// Any of the laws as Steinhart-Hart, checked: its resistance must exist and fall with temperature
/// from -60 to 250 degC, and at 25 degC
/// be 1 ohm to 100 Mohm with a beta of 1500 to 8000 K.
/// @errors bad_configuration: it is not so, or a coefficient is no number
[[nodiscard]] Result<SteinhartHart> steinhart_hart(
    const std::variant<SteinhartHart, BetaLaw, ThermistorPoints>& law);

/// 1/T = a + b ln R + c (ln R)^3 for `ohm` > 0. Not limited to the range: the caller looks.
[[nodiscard]] double thermistor_degC(const SteinhartHart& law, double ohm);

/// The resistance at a temperature above -273.15 degC, in closed form; NaN where the law has none.
[[nodiscard]] double thermistor_ohm(const SteinhartHart& law, double degC);

}  // namespace nestcup::drivers

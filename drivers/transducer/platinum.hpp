// Platinum resistance thermometers (Pt100, Pt500, Pt1000, any R0): temperature and resistance.
//
// Range: -200 to 850 degC. Accuracy of the arithmetic: rounding, there and back within 1e-9 K (the
// equation itself is solved below 0 degC as well). Accuracy of elements: IEC 60751 class A
// 0.15 K + 0.002 |t|, class B 0.3 K + 0.005 |t|. A lead resistance that is not taken off reads as
// 2.6 K per ohm with Pt100, 0.26 K with Pt1000.
// Source: IEC 60751:2008, R(t) = R0 (1 + A t + B t^2 + C (t - 100 degC) t^3), C only below 0 degC.
#pragma once

#include "core/sheet/transducer_settings.hpp"

namespace nestcup::drivers {

inline constexpr double lowest_platinum_degC = -200.0;
inline constexpr double highest_platinum_degC = 850.0;

/// R(t)/R0.
/// @param degC  -200 to 850; not checked
[[nodiscard]] double platinum_ratio(double degC);

/// The temperature in degC at which R/R0 has this value, 0.18520 to 3.90481 (-200 to 850 degC);
/// NaN outside.
[[nodiscard]] double platinum_degC(double ratio);

/// What the leads add to the element's resistance as it is measured, ohm: both leads with two
/// wires; one with three, where the third senses one end only (a device that takes off the leads
/// itself has `lead_ohm` 0); none with four.
[[nodiscard]] constexpr double lead_term_ohm(const PlatinumSettings& platinum) {
  return (platinum.wires == 2 ? 2.0 : platinum.wires == 3 ? 1.0 : 0.0) * platinum.lead_ohm;
}

}  // namespace nestcup::drivers

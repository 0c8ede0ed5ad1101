// How much a resistance probe is warmer than what it stands in, for the current that measures it.
//
// Range: any resistance above 0. Accuracy: that of the dissipation constant, which depends on the
// liquid, the stirring and the probe's mounting, and is known to a factor of two at best; so the
// term is worth subtracting while it is small. A small epoxy bead has 0.5 to 1 mW/K in still air
// and 7 to 8 mW/K in stirred oil (common data-sheet values): 10 kohm beside 10 kohm across 5 V take
// 0.63 mW, 0.08 K in stirred liquid and 0.6 to 1.2 K in air.
// Source: definition of the dissipation constant, IEC 60539-1: power over rise of temperature.
#pragma once

#include <optional>

#include "core/sheet/transducer_settings.hpp"

namespace nestcup::drivers {

/// The rise in K of a probe of `probe_ohm` over its surroundings.
/// @param divider  needed where the current follows from the supply; the probe's rise is 0 where
///                 neither supply nor current is given
[[nodiscard]] constexpr double self_heating_K(const SelfHeating& heating,
                                              const std::optional<Divider>& divider,
                                              double probe_ohm) {
  double current_mA = heating.current_mA;
  if (divider && heating.supply_V > 0.0) {
    current_mA = 1e3 * heating.supply_V / (probe_ohm + divider->series_ohm);
  }
  const double power_mW = current_mA * current_mA * probe_ohm * 1e-3;
  return power_mW / heating.dissipation_mW_per_K;
}

}  // namespace nestcup::drivers

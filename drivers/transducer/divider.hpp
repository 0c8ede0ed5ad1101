// A resistance probe and a known resistor in series across a supply: what a converter reads at
// their junction, and the probe's resistance.
//
// Range: readings from 0 to the full scale; resistances from 0 up. Accuracy of the arithmetic:
// rounding. Accuracy in use: the supply drops out where the converter refers to it; the series
// resistor's tolerance goes into the probe's resistance in full (1 % of a thermistor's is some
// 0.25 K), so measure it with a meter.
// Source: Ohm's law and the voltage divider; a converter's code stands for code / full scale of
// its reference.
#pragma once

#include <limits>

#include "core/sheet/transducer_settings.hpp"

namespace nestcup::drivers {

/// The part of the supply that is at the junction, 0 to 1, for a reading in the unit of
/// `full_scale` (count, V, mV, uV; 1 for a ratio).
[[nodiscard]] constexpr double divider_ratio(const Divider& divider, double reading) {
  return reading / divider.full_scale;
}

/// The reading for a ratio; not rounded to whole counts.
[[nodiscard]] constexpr double divider_reading(const Divider& divider, double ratio) {
  return ratio * divider.full_scale;
}

/// The probe's resistance at a ratio; 0 at or beyond the rail that a shorted probe gives, infinity
/// at or beyond the one of an open probe.
[[nodiscard]] constexpr double divider_ohm(const Divider& divider, double ratio) {
  const double across_probe = divider.probe_below ? ratio : 1.0 - ratio;
  if (across_probe <= 0.0) return 0.0;
  if (across_probe >= 1.0) return std::numeric_limits<double>::infinity();
  return divider.series_ohm * across_probe / (1.0 - across_probe);
}

/// The ratio that a probe of this resistance gives.
[[nodiscard]] constexpr double divider_ratio_of(const Divider& divider, double probe_ohm) {
  const double sum_ohm = probe_ohm + divider.series_ohm;
  return divider.probe_below ? probe_ohm / sum_ohm : divider.series_ohm / sum_ohm;
}

}  // namespace nestcup::drivers

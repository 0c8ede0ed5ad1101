// Noise and display step of a curve, estimated from the curve itself.
#pragma once

#include "core/analysis/point.hpp"

namespace nestcup {

/// Scatter of single readings about the smooth course of the temperature.
struct Noise {
  double sd_K = 0.0;    ///< standard deviation without the rounding to the step, K
  double step_K = 0.0;  ///< step of the display, K; 0 where none shows

  /// Standard deviation of one reading, rounding included (a rectangle of one step: JCGM 100,
  /// 4.3.7), K.
  [[nodiscard]] double total_K() const;
};

/// Largest step of which all temperatures are whole multiples (up to one common offset).
/// @return 0 where the readings show no step (fewer than 3 different values, or no common one)
[[nodiscard]] double display_step_K(CurveView curve);

/// Noise from each reading's distance to the line through its neighbours, which drift does not
/// change and a mixing changes only in a few places; the largest tenth is left out for those.
/// @param curve  any number of points; fewer than 5 give sd 0
[[nodiscard]] Noise estimate_noise(CurveView curve);

/// Noise of a run's curve, from its quiet part before `quiet_until_s`; where that holds less than a
/// dozen readings, from the run's last dozen, too.
[[nodiscard]] Noise estimate_run_noise(CurveView curve, double quiet_until_s);

/// The same standard deviation with a step already known (cheaper).
[[nodiscard]] double scatter_K(CurveView curve, double step_K);

}  // namespace nestcup

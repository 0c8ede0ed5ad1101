// Noise and display step of a curve, estimated from the curve itself.
#pragma once

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Scatter of single readings about the smooth course of the temperature.
struct Noise {
  double sd_K = 0.0;    ///< standard deviation without the rounding to the step, K
  double step_K = 0.0;  ///< step of the display, K; 0 where none shows

  /// Standard deviation of one reading, rounding included (a rectangle of one step: JCGM 100,
  /// 4.3.7), K.
  [[nodiscard]] double total_K() const;

  /// Whether the step is worth the likelihood of rounding intervals: from twice the scatter on.
  /// Below, a rounded reading with the step as further scatter tells all but 0.1 % of what there is
  /// to know (Sheppard's correction; tests/analysis/rounded_reading_test.cpp).
  [[nodiscard]] bool is_coarse() const { return step_K > 2.0 * sd_K; }
  /// Whether digits change so seldom that the likelihood of their changes is no bell any more.
  [[nodiscard]] bool is_hidden() const { return step_K > 4.0 * sd_K; }
};

/// Noise from each reading's distance to the line through its neighbours, which drift does not
/// change and a mixing changes only in a few places; the largest tenth is left out for those.
/// @param curve  any number of points; fewer than 5 give sd 0
[[nodiscard]] Noise estimate_noise(CurveView curve);

/// Noise of a run's curve, from its quiet part before `quiet_until_s`; where that holds less than a
/// dozen readings, from the run's last dozen, too. Where it holds less than 30 and scatters more
/// than 3.5 times as much as the last dozen, a probe or a cup was on its way there: then it is 1.5
/// times what the last dozen say.
[[nodiscard]] Noise estimate_run_noise(CurveView curve, double quiet_until_s);

/// The same standard deviation with a step already known (cheaper).
[[nodiscard]] double scatter_K(CurveView curve, double step_K);

/// Few readings do not know their own scatter: the factor that limits taken from it are wider by (a
/// rule of thumb).
[[nodiscard]] double doubt_of_few(std::size_t count);

/// Distance between the lowest and the highest reading, K.
/// @param curve  one reading at least
[[nodiscard]] double range_K(CurveView curve);

}  // namespace nestcup

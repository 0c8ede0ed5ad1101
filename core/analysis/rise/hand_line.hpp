// The rise as it is usually had by hand, for comparison only.
#pragma once

#include <optional>

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Readings to 0.1 degree every 20 s from 20 to 180 s after the pour began, a least-squares line
/// through those from the extremum on, carried back to the start of the pour, less the reading to
/// 0.1 degree two seconds before it (common practice in teaching laboratories).
/// @param mixing_s  start of the pour, on the curve's axis
/// @return K; nothing where fewer than three readings remain or the curve does not reach so far
[[nodiscard]] std::optional<double> hand_line_K(CurveView cup, double mixing_s);

/// The same where no reading was made just before the pour (the one thermometer served both
/// vessels): a line through the readings to 0.1 degree every 20 s before it is carried on to the
/// pour instead.
/// @param cup  the readings made in the cup; where there are none, nothing is noted
[[nodiscard]] std::optional<double> hand_lines_K(CurveView cup, double mixing_s);

}  // namespace nestcup

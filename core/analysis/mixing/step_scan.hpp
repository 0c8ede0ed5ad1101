// A step between two stretches of the same drift, looked for with the readings on both sides: finds
// rises that a line carried on from a few readings cannot tell from chance.
#pragma once

#include <optional>

#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

struct FoundStep {
  double onset_s = 0.0;  ///< first point behind the stretch before the step
  LineFit fore;          ///< the drift before, with the slope that both stretches share
  double step_K = 0.0, u_K = 0.0;
  double sd_K = 0.0;  ///< scatter of the points about both stretches
};

/// Looks at every division of the curve into two stretches of one slope, side by side or with a
/// main period of up to four minutes between them. A step is found where Student's t of the most
/// significant one is one that chance gives less than once in 3e5 divisions, and where it is larger
/// than what a leak of 1e-3 per s bends the drift. Steps above 1 K leave each stretch a slope of
/// its own, which may differ by such a leak.
/// @param curve       at most some dozens of points, grouped if need be
/// @param noise       of single readings: what a coarse display rounds away is no scatter, and its
///                    rounding errors are shared by whole stretches
[[nodiscard]] std::optional<FoundStep> find_step(CurveView curve, const Noise& noise);

}  // namespace nestcup

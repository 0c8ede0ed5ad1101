// Whether a rise is a probe that was carried through the air into other water.
#pragma once

#include "core/analysis/line_fit.hpp"
#include "core/analysis/noise.hpp"
#include "core/analysis/point.hpp"

namespace nestcup {

/// In air the probe, wet, goes slowly towards the wet bulb's temperature; then it plunges:
///   before t0           the foreperiod's line
///   t0 to t1            a straight way off it, 2 to 20 s long (air takes a minute to be followed)
///   after t1            first-order approach to a new drift, from where the air had brought it
/// The two kinks and the way between them are what no pour looks like.
///
/// @param curve          readings from before the onset to a minute behind it
/// @param fore           the drift before
/// @param onset_s        first reading that left it
/// @param noise          of single readings
/// @param mixing_squares_K2  what the best course of a mixing leaves of `curve`: sum of squares
/// @return whether the stage in air shows, a mixing fits much worse, and this fits within the
///         scatter. The rounding errors of a coarse display are no scatter, and look like ways of
///         their own: there it must leave but a part of what a mixing leaves.
[[nodiscard]] bool was_carried(CurveView curve, const LineFit& fore, double onset_s,
                               const Noise& noise, double mixing_squares_K2);

}  // namespace nestcup

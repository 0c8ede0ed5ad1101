// Where a curve has settled to its slow drift: the end of the main period, and the part of the
// foreperiod that is steady.
#pragma once

#include <optional>

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// What the curve did before it left its old course.
struct FormerCourse {
  double level_degC = 0.0;
  double drift_K_per_s = 0.0;
};

/// Earliest time from which on the curve is nothing but slow drift and noise.
///
/// A parabola (drift of a Newton leak, seen over minutes) is laid through what follows each
/// candidate; the candidate passes when the first quarter minute behind it lies on that parabola
/// within its scatter. What is left of a first-order approach shows there first.
///
/// @param readings  in order; they must hold at least 5 points over 20 s behind the answer
/// @param noise  of single readings
/// @param former  the course before; where it is given, a drift that is faster than a leak could
///                make it at that distance is none (a heater's ramp is straight, too)
/// @return time of a reading, s; nothing where the curve never settles
[[nodiscard]] std::optional<double> settled_from(
    CurveView readings, const Noise& noise,
    const std::optional<FormerCourse>& former = std::nullopt);

/// From when on a foreperiod is steady. It ends at the onset, the first reading that is clearly
/// off: some before it may have left the line already, and are let go where it is steady without
/// them. Of fewer than nine readings, the last that lie on one line, three at least, will do.
/// @param fore   the readings before the onset, in order
/// @param noise  of single readings
/// @return time of a reading, s; nothing where it is not steady at all
[[nodiscard]] std::optional<double> steady_from(CurveView fore, const Noise& noise);

}  // namespace nestcup

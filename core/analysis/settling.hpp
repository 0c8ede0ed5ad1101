// Where a curve has settled to its slow drift: the end of the main period, and the part of the
// foreperiod that is steady.
#pragma once

#include <optional>

#include "core/analysis/noise.hpp"
#include "core/analysis/point.hpp"

namespace nestcup {

/// Earliest time from which on the curve is nothing but slow drift and noise.
///
/// A parabola (drift of a Newton leak, seen over minutes) is laid through what follows each
/// candidate; the candidate passes when the first quarter minute behind it lies on that parabola
/// within its scatter. What is left of a first-order approach shows there first.
///
/// @param curve  points in order; the curve must hold at least 5 points over 20 s behind the answer
/// @param noise  of single readings
/// @return time of a reading, s; nothing where the curve never settles
[[nodiscard]] std::optional<double> settled_from(CurveView curve, const Noise& noise);

}  // namespace nestcup

// How well surroundings that change for a while explain the readings of a candidate.
#pragma once

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Logarithm of the evidence (log_evidence.hpp) for the best of several fits.
/// @param curve    the readings before, during and after
/// @param onset_s  first reading that clearly left the foreperiod
[[nodiscard]] double passing_evidence(CurveView curve, double onset_s, const Noise& noise);

/// The same where nothing but the surroundings' air changes: a draught, a lid that is off. What
/// such a change can do is known from the drift before.
[[nodiscard]] double draught_evidence(CurveView curve, double onset_s, const Noise& noise);

}  // namespace nestcup

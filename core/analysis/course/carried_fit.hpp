// How well a probe that was carried through air into a liquid explains the readings of a candidate.
#pragma once

#include "core/analysis/readings/noise.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Logarithm of the evidence (log_evidence.hpp) for the best of several fits. A probe's way is a
/// simple thing: one that does not describe the readings as nearly as they scatter was none.
/// @param curve    the readings before, during and after
/// @param onset_s  first reading that clearly left the foreperiod
/// @return minus infinity where no fit does
[[nodiscard]] double carried_evidence(CurveView curve, double onset_s, const Noise& noise);

}  // namespace nestcup

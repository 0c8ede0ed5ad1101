// Whether what left the foreperiod was a mixing: the shape of the way from the old course to the
// new one tells a pour or a dissolution from a probe that was moved and from slow heating.
#pragma once

#include <optional>
#include <string_view>

#include "core/analysis/mixing/mixing_detector.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

enum class Verdict { mixing, too_small, probe_moved, slow_heating };

[[nodiscard]] std::string_view verdict_name(Verdict verdict);

/// @param curve      the cup's readings of the candidate run, on any axis (s)
/// @param onset_s    first reading that left the line
/// @param settled_s  from where on the curve is slow drift again
/// @param heater     whether the trial declares a heater (then slow heating is a run)
[[nodiscard]] Verdict judge_candidate(CurveView curve, double onset_s, double settled_s,
                                      bool heater);

}  // namespace nestcup

// Values that a board says again until its converter has a new one.
#pragma once

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// A board that is asked more often than its converter has a new value says each several times: the
/// repeats tell nothing, and make a staircase of a steep course.
/// @return how many times each value is said, if all are held as often (or by chance longer, where
///         the next one is the same); else 1
[[nodiscard]] std::size_t times_said(CurveView curve);

/// The readings with new values, each where it came first, of a curve that says each so often.
[[nodiscard]] Curve without_repeats(Curve curve, std::size_t times);

}  // namespace nestcup

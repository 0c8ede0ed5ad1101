// Neighbouring readings whose errors are alike: what a board that averages sends, or a cup that is
// stirred unevenly.
#pragma once

#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// How many readings on the next one lies whose error is its own: from there on the distances to
/// the line through the readings so far before and behind no longer grow.
/// @param quiet  mostly drift; 40 readings at least tell something
/// @param also   another such stretch, in which they have to be alike, too, if it is long enough
/// @return 1 where every reading tells something of its own, and where digits hide the scatter
[[nodiscard]] std::size_t readings_apart(CurveView quiet, CurveView also);

/// Which of a board's readings tell something of their own.
struct Alikeness {
  std::size_t times_said = 1;  ///< each value
  std::size_t apart = 1;       ///< of the values, those whose errors are their own
};

/// @param quiet  mostly drift
[[nodiscard]] Alikeness alikeness_of(CurveView quiet);

/// The readings that tell something of their own.
[[nodiscard]] Curve own_readings(CurveView curve, const Alikeness& alikeness);

/// Every `apart`-th reading, the newest among them.
[[nodiscard]] Curve taken_apart(CurveView curve, std::size_t apart);

}  // namespace nestcup

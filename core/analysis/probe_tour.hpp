// One probe for both vessels: what its way from vessel to vessel tells of the mixing.
#pragma once

#include <optional>

#include "core/analysis/plateaus.hpp"
#include "core/analysis/point.hpp"

namespace nestcup {

/// The stations of a probe that was carried. What lies between them was in air.
struct ProbeTour {
  Plateau cup_before;                ///< in the cup, before the mixing
  Plateau added;                     ///< in the second vessel
  std::optional<Plateau> cup_after;  ///< in the cup again, where the pour was not seen

  /// When the liquid was poured where it was not seen: after the probe left the second vessel,
  /// before it stood in the cup again.
  [[nodiscard]] double earliest_pour_s() const { return added.end_s; }
  [[nodiscard]] double latest_pour_s() const;
};

/// Finds a mixing that happened while the probe was on its way: it stood in the cup, was lifted,
/// stood in the second vessel, was lifted again, and stands in the cup, which has changed
/// meanwhile.
/// @param cup              the probe's readings; the first plateau is in the cup
/// @param least_after_s    how long it has to stand in the cup afterwards
[[nodiscard]] std::optional<ProbeTour> tour_over_mixing(CurveView cup, double least_after_s);

/// Where the probe stood last before the foreperiod of a mixing that it saw, if that was in liquid
/// and it came through air.
/// @param onset_s  first reading that left the foreperiod
[[nodiscard]] std::optional<ProbeTour> tour_before_mixing(CurveView cup, double onset_s);

}  // namespace nestcup

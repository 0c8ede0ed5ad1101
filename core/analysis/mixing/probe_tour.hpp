// One probe for both vessels: what its way from vessel to vessel tells of the mixing.
#pragma once

#include <optional>

#include "core/analysis/mixing/plateaus.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// The stations of a probe that was carried. What lies between them was in air.
struct ProbeTour {
  Plateau cup_before;                ///< in the cup, before the mixing
  Plateau added;                     ///< in the second vessel
  std::optional<Plateau> cup_after;  ///< in the cup again, where the pour was not seen
  std::optional<Plateau> cup_first;  ///< in the cup before it went to the second vessel, where it
                                     ///< came back before the pour: `cup_before` leads on from it
  double latest_pour_s = 0.0;        ///< the pour began before
  double vessel_from_s = 0.0;        ///< from here on its approach to the second vessel is smooth
  double again_s = 0.0;              ///< from here on it showed the cup again

  /// The cup has come nearer to what the other vessel holds, at once: a mixture of the two.
  bool is_mixture = false;
  /// The first station drifts faster than the second, as a vessel away from the room's temperature
  /// does: where what came last can be a mixing that the probe saw, it is.
  bool first_may_be_vessel = false;

  /// When the liquid was poured where it was not seen: after the probe left the second vessel.
  [[nodiscard]] double earliest_pour_s() const { return added.end_s; }
};

/// Finds the mixing at the end of a probe's way: it stood in the cup, was lifted, stood in the
/// second vessel, was lifted again, and stands in the cup, which was mixed meanwhile (`cup_after`)
/// or after the probe had stood in it as it was before (`cup_first`).
/// @param cup              the probe's readings; the first plateau is in the cup
/// @param least_after_s    how long it has to stand in the cup afterwards
[[nodiscard]] std::optional<ProbeTour> tour_with_mixing(CurveView cup, double least_after_s);

/// Where the probe stood last before the foreperiod of a mixing that it saw, if that was in liquid
/// and it came through air.
/// @param onset_s  first reading that left the foreperiod
[[nodiscard]] std::optional<ProbeTour> tour_before_mixing(CurveView cup, double onset_s);

/// What the probe read in the cup: not on its way, and not in the second vessel.
[[nodiscard]] Curve in_cup(CurveView readings, const ProbeTour& tour);
/// What it read in the second vessel.
[[nodiscard]] Curve in_vessel(CurveView readings, const ProbeTour& tour);

/// First reading that is clearly off the line of the cup's last stay before the mixing, s.
[[nodiscard]] double onset_behind(CurveView cup, const ProbeTour& tour);

/// Whether what looks like a mixing was a visit to the other vessel: the probe has gone a good part
/// of the way back since.
/// @param onset_s  when it left the cup's line
/// @param end_s    when it left the line behind
[[nodiscard]] bool went_back(CurveView cup, double onset_s, double end_s);

}  // namespace nestcup

#include "core/analysis/mixing/probe_tour.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/approach.hpp"
#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/noise.hpp"

namespace nestcup {
namespace {

constexpr double smallest_change_K = 0.15;  // between two vessels
constexpr double short_stay_s = 60.0;
/// From its last steady reading in the pour's vessel to its first in the cup a probe of the longest
/// usual lag needs about this.
constexpr double settling_s = 15.0;
/// From vessel to vessel a probe is in air for some seconds, and comes to rest within five lags of
/// at most ten seconds: what takes longer was not carried there.
/// A stay in the cup too short for a station may come before the last.
constexpr double longest_way_s = 75.0, longest_stay_s = 75.0;
/// A probe that is lifted out leaves so slowly that its first seconds in air hide in the scatter.
constexpr double leaving_s = 6.0;
/// So long a probe must have stood in a cup whose mixing nobody saw.
constexpr double least_settled_s = 20.0;

LineFit line_of(CurveView cup, const Plateau& plateau, bool at_its_end) {
  constexpr double most_s = 120.0;
  const double from_s =
      at_its_end ? std::max(plateau.start_s, plateau.end_s - most_s) : plateau.start_s;
  const double to_s = at_its_end ? plateau.end_s : std::min(plateau.end_s, from_s + most_s);
  return fit_line(between(cup, from_s, to_s));
}

/// Stations beside the noise of all readings, and how they lie to each other.
class Way {
 public:
  explicit Way(CurveView cup) : cup_(cup), noise_(estimate_noise(cup)), found_(plateaus(cup)) {
    std::erase_if(found_, [](const Plateau& plateau) { return !plateau.in_liquid; });
  }

  /// The stations in liquid, the last one numbered 1.
  [[nodiscard]] const Plateau& from_last(std::size_t number) const {
    return found_[found_.size() - number];
  }
  /// Whether it came to a station right from the one before, plunging into liquid.
  [[nodiscard]] bool came_right_from(const Plateau& earlier, const Plateau& later,
                                     double stay_s = 0.0) const {
    const double longest_s = longest_way_s + stay_s + 2.0 * median_interval_s(cup_);
    return later.plunged && later.start_s - earlier.end_s < longest_s;
  }
  [[nodiscard]] std::size_t size() const { return found_.size(); }
  [[nodiscard]] double clear_K() const { return std::max(0.05, 5.0 * noise_.total_K()); }

  /// How far `later` lies off what `earlier` leads to, K. What is left of the approach to a short
  /// stay shows at its beginning.
  [[nodiscard]] double off_K(const Plateau& earlier, const Plateau& later) const {
    const double at_s = std::min(later.end_s, later.start_s + short_stay_s);
    return line_of(cup_, later, false).at(at_s) - line_of(cup_, earlier, true).at(at_s);
  }

  /// How far `later` may lie off and still be the same liquid: a line that is carried on is
  /// uncertain, and a vessel that leaks leaves it.
  [[nodiscard]] double doubt_K(const Plateau& earlier, const Plateau& later) const {
    constexpr double fast_leak_per_s = 1.5e-3;
    const LineFit line = line_of(cup_, earlier, true);
    const double lead_s = later.start_s - line.reference_s;
    const double bent_K = 0.5 * fast_leak_per_s * std::abs(line.slope_K_per_s) * lead_s * lead_s;
    const double rounding_K = noise_.sd_K < 0.4 * noise_.step_K ? noise_.step_K : 0.0;
    return 0.06 + 4.0 * line.u_at(later.start_s) + rounding_K + bent_K;
  }

  /// Whether the probe left a plateau by being lifted out into air: it goes but a small part of the
  /// way to the next one in the first seconds. A plunge from air into liquid goes at once.
  [[nodiscard]] bool lifted_out(const Plateau& from, const Plateau& to) const {
    constexpr double first_s = 3.0, small_part = 0.2;
    const LineFit line = line_of(cup_, from, true);
    const double way_K = line_of(cup_, to, false).at(to.start_s) - line.at(to.start_s);
    for (const Point& point : between(cup_, from.end_s, to.start_s)) {
      if (std::abs(point.temperature_degC - line.at(point.time_s)) < clear_K()) continue;
      const CurveView soon = between(cup_, point.time_s + first_s, to.start_s);
      if (soon.empty()) return false;
      const double gone_K = soon.front().temperature_degC - line.at(soon.front().time_s);
      return gone_K / way_K < small_part;
    }
    return false;
  }

  [[nodiscard]] bool stands_at_end(double least_s) const {
    const Plateau& last = from_last(1);
    return cup_.back().time_s - last.end_s <= 5.0 + 2.0 * median_interval_s(cup_) &&
           last.end_s - last.start_s >= least_s;
  }

  /// How the probe came to a plateau, from where less than a third of the way was left.
  [[nodiscard]] Approach approach_to(const Plateau& plateau, const DriftPrior& prior = {}) const {
    constexpr double dip_K = 0.1, longest_s = 90.0, part = 0.3, seen_behind_s = 120.0;
    const LineFit line = line_of(cup_, plateau, false);
    const CurveView before = between(cup_, plateau.start_s - longest_s, plateau.start_s);
    const auto away_K = [&](const Point& point) {
      return point.temperature_degC - line.at(point.time_s);
    };
    double most_K = 0.0, begin_s = plateau.start_s;
    for (std::size_t i = before.size(); i > 0; --i) {
      const double here_K = std::abs(away_K(before[i - 1]));
      if (here_K < most_K - dip_K - 5.0 * noise_.total_K()) break;
      most_K = std::max(most_K, here_K);
    }
    for (std::size_t i = before.size(); i > 0; --i) {
      if (std::abs(away_K(before[i - 1])) > part * most_K) break;
      begin_s = before[i - 1].time_s;
    }
    const double end_s = std::min(plateau.end_s - leaving_s, plateau.start_s + seen_behind_s);
    const CurveView all = between(cup_, begin_s, std::nextafter(plateau.end_s, INFINITY));
    const CurveView kept = between(all, begin_s, end_s);
    return fit_approach(kept.size() < 8 ? all : kept, noise_, prior);
  }

  /// The drift of a vessel in which the probe stood before.
  [[nodiscard]] DriftPrior drift_of(const Plateau& plateau) const {
    constexpr double slowing = 0.3, any_K_per_s = 1e-4;
    const LineFit line = line_of(cup_, plateau, true);
    return {line.slope_K_per_s,
            std::hypot(line.u_slope_K_per_s, slowing * line.slope_K_per_s, any_K_per_s)};
  }

  /// Whether `now` is what `cup` can become by some of what `vessel` holds.
  [[nodiscard]] bool lies_between(const Plateau& cup, const Plateau& now,
                                  const Plateau& vessel) const {
    constexpr double most = 0.75;
    const double share = off_K(cup, now) / off_K(cup, vessel);
    return share > 0.0 && share < most;
  }

  /// Whether `now` is the vessel itself once more.
  [[nodiscard]] bool is_as_it_was(const Plateau& vessel, const Plateau& now,
                                  const Plateau& cup) const {
    return std::abs(off_K(vessel, now)) < smallest_change_K + 0.05 * std::abs(off_K(cup, vessel));
  }

  [[nodiscard]] bool drifts_faster(const Plateau& one, const Plateau& other) const {
    const LineFit a = line_of(cup_, one, true), b = line_of(cup_, other, true);
    const double u_K_per_s = std::hypot(a.u_slope_K_per_s, b.u_slope_K_per_s);
    return std::abs(a.slope_K_per_s) > std::abs(b.slope_K_per_s) + 2.0 * u_K_per_s;
  }

  /// Whether an approach of first order is all that the readings show.
  [[nodiscard]] bool is_smooth(const Approach& approach) const {
    const double n = static_cast<double>(approach.readings), sd_K = noise_.total_K();
    return approach.squares_K2 < (1.3 + 4.0 / std::sqrt(n)) * n * sd_K * sd_K;
  }

  /// From when on the rest of an approach no longer counts, s.
  [[nodiscard]] double arrived_s(const Approach& approach) const {
    return approach.arrived_s(0.1 * noise_.total_K());
  }

 private:
  CurveView cup_;
  Noise noise_;
  std::vector<Plateau> found_;
};

/// Cup, second vessel, and the cup again as it was. A short stay is not the end of the approach.
bool is_visit(const Way& way, const Plateau& cup, const Plateau& vessel, const Plateau& again) {
  constexpr double part_of_way = 0.02, good_part = 0.5;
  const double there_K = std::abs(way.off_K(cup, vessel));
  const double doubt_K = way.doubt_K(cup, again) + part_of_way * there_K;
  return there_K > std::max(smallest_change_K, 3.0 * doubt_K) &&
         std::abs(way.off_K(vessel, again)) > good_part * there_K &&
         std::abs(way.off_K(cup, again)) < doubt_K;
}

/// The tour's times that hang on how the probe came to its stations.
ProbeTour with_times(ProbeTour tour, const Way& way, const Plateau& again) {
  tour.vessel_from_s = way.approach_to(tour.added).begin_s;
  const DriftPrior drift = tour.cup_first ? way.drift_of(*tour.cup_first) : DriftPrior{};
  tour.again_s = way.arrived_s(way.approach_to(again, drift));
  return tour;
}

/// A probe that did not arrive in the cup before then has shown neither foreperiod nor after
/// period.
std::optional<ProbeTour> if_arrived(const ProbeTour& tour, double before_s) {
  return tour.again_s < before_s ? std::optional(tour) : std::nullopt;
}

std::optional<ProbeTour> tour_seen(const Way& way) {
  if (way.size() < 4) return std::nullopt;
  ProbeTour tour{way.from_last(2), way.from_last(3), std::nullopt, way.from_last(4)};
  if (!is_visit(way, *tour.cup_first, tour.added, tour.cup_before)) return std::nullopt;
  const Plateau& last = way.from_last(1);
  if (std::abs(way.off_K(tour.cup_before, last)) < smallest_change_K) return std::nullopt;
  if (way.is_as_it_was(tour.added, last, *tour.cup_first)) return std::nullopt;
  tour.latest_pour_s = last.start_s;
  tour.is_mixture = last.plunged && way.lies_between(tour.cup_before, last, tour.added);
  return if_arrived(with_times(tour, way, tour.cup_before), tour.latest_pour_s);
}

std::optional<ProbeTour> tour_unseen(const Way& way) {
  if (way.size() < 3) return std::nullopt;
  const Plateau &cup = way.from_last(3), &vessel = way.from_last(2), &last = way.from_last(1);
  // What only warms slowly was not carried.
  if (!way.came_right_from(cup, vessel) || !way.came_right_from(vessel, last, longest_stay_s)) {
    return std::nullopt;
  }
  // Back in the cup as it was, or in the second vessel once more, is no mixing.
  if (std::abs(way.off_K(cup, last)) < smallest_change_K + way.doubt_K(cup, last) ||
      way.is_as_it_was(vessel, last, cup)) {
    return std::nullopt;
  }
  // The probe came from the one vessel into the other and back: these two are not cup and vessel.
  if (way.size() > 3) {
    const Plateau& earlier = way.from_last(4);
    const bool back =
        std::abs(way.off_K(earlier, vessel)) < 0.1 * std::abs(way.off_K(earlier, cup));
    if (back) return std::nullopt;
  }
  // A reaction can take the cup anywhere, but then the air must have shown.
  const bool is_mixture = way.lies_between(cup, last, vessel);
  if (!is_mixture && !way.lifted_out(cup, vessel)) return std::nullopt;
  ProbeTour tour{cup, vessel, last, std::nullopt};
  tour.is_mixture = is_mixture;
  const Approach approach = way.approach_to(last);
  tour.latest_pour_s = way.is_smooth(approach) ? approach.begin_s
                                               : std::max(0.5 * (vessel.end_s + last.start_s),
                                                          last.start_s - settling_s);
  tour.first_may_be_vessel = way.drifts_faster(cup, vessel);
  return if_arrived(with_times(tour, way, last), last.end_s - least_settled_s);
}

}  // namespace

std::optional<ProbeTour> tour_with_mixing(CurveView cup, double least_after_s) {
  const Way way(cup);
  if (way.size() < 3 || !way.stands_at_end(least_after_s)) return std::nullopt;
  const auto seen = tour_seen(way);
  return seen ? seen : tour_unseen(way);
}

std::optional<ProbeTour> tour_before_mixing(CurveView cup, double onset_s) {
  const CurveView before = between(cup, cup.front().time_s, onset_s);
  const Way way(before);
  if (way.size() < 2) return std::nullopt;
  ProbeTour tour{way.from_last(1), way.from_last(2), std::nullopt, std::nullopt, onset_s};
  if (onset_s - tour.cup_before.end_s > settling_s) return std::nullopt;
  if (way.size() > 2 && is_visit(way, way.from_last(3), tour.added, tour.cup_before)) {
    tour.cup_first = way.from_last(3);
  } else if (!way.lifted_out(tour.added, tour.cup_before)) {
    return std::nullopt;
  }
  return if_arrived(with_times(tour, way, tour.cup_before), tour.latest_pour_s);
}

Curve in_cup(CurveView readings, const ProbeTour& tour) {
  const bool came_first = tour.cup_first || tour.cup_after;
  const Plateau& first = tour.cup_first ? *tour.cup_first : tour.cup_before;
  Curve curve;
  for (const Point& point : readings) {
    const double t = point.time_s;
    const bool before = came_first && t >= first.start_s && t <= first.end_s - leaving_s;
    if (before || t >= tour.again_s) curve.push_back(point);
  }
  return curve;
}

Curve in_vessel(CurveView readings, const ProbeTour& tour) {
  const CurveView part =
      between(readings, tour.vessel_from_s, std::nextafter(tour.added.end_s - leaving_s, INFINITY));
  return {part.begin(), part.end()};
}

double onset_behind(CurveView cup, const ProbeTour& tour) {
  const LineFit line = line_of(cup, tour.cup_before, true);
  const double clear_K = std::max(0.05, 5.0 * estimate_noise(cup).total_K());
  for (const Point& point : between(cup, tour.cup_before.start_s, INFINITY)) {
    if (point.time_s < tour.cup_before.end_s - settling_s) continue;
    if (std::abs(point.temperature_degC - line.at(point.time_s)) > clear_K) return point.time_s;
  }
  return tour.latest_pour_s;
}

bool went_back(CurveView cup, double onset_s, double end_s) {
  constexpr double fore_s = 60.0, guard_s = 3.0, behind_s = 20.0, good_part = 0.25;
  const CurveView fore = between(cup, onset_s - fore_s, onset_s - guard_s);
  const CurveView there = between(cup, std::max(onset_s, end_s - behind_s), end_s);
  const CurveView since = between(cup, end_s, INFINITY);
  if (fore.size() < 3 || there.size() < 3 || since.size() < 3) return false;
  const double now_s = since.back().time_s;
  std::vector<double> last;
  for (const Point& point : since.last(3)) last.push_back(point.temperature_degC);
  const double there_degC = fit_line(there).at(end_s);
  const double way_K = there_degC - fit_line(fore).at(now_s);
  const double share = (there_degC - median_of(last)) / way_K;
  return share > good_part && share < 1.0 + good_part;
}

}  // namespace nestcup

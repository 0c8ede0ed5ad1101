#include "core/analysis/probe_tour.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/line_fit.hpp"
#include "core/analysis/noise.hpp"

namespace nestcup {
namespace {

constexpr double smallest_change_K = 0.15;
constexpr double fastest_leak_per_s = 2e-3;
/// From its last steady reading in the pour's vessel to its first in the cup a probe of the longest
/// usual lag needs about this.
constexpr double settling_s = 15.0;

LineFit line_of(CurveView cup, const Plateau& plateau, bool at_its_end) {
  constexpr double most_s = 120.0;
  const double from_s =
      at_its_end ? std::max(plateau.start_s, plateau.end_s - most_s) : plateau.start_s;
  const double to_s = at_its_end ? plateau.end_s : std::min(plateau.end_s, from_s + most_s);
  return fit_line(between(cup, from_s, to_s));
}

/// Whether the probe left a plateau by being lifted out into air: it goes but a small part of the
/// way to the next one in the first seconds. A plunge from air into liquid goes at once.
bool lifted_out(CurveView cup, const Plateau& from, const Plateau& to, const Noise& noise) {
  constexpr double first_s = 3.0, small_part = 0.2;
  const LineFit line = line_of(cup, from, true);
  const double way_K = line_of(cup, to, false).at(to.start_s) - line.at(to.start_s);
  const double clear_K = std::max(0.05, 5.0 * noise.total_K());
  for (const Point& point : between(cup, from.end_s, to.start_s)) {
    if (std::abs(point.temperature_degC - line.at(point.time_s)) < clear_K) continue;
    const CurveView soon = between(cup, point.time_s + first_s, to.start_s);
    if (soon.empty()) return false;
    const double gone_K = soon.front().temperature_degC - line.at(soon.front().time_s);
    return gone_K / way_K < small_part;
  }
  return false;
}

std::vector<Plateau> stations(CurveView cup) {
  std::vector<Plateau> found = plateaus(cup);
  std::erase_if(found, [](const Plateau& plateau) { return !plateau.in_liquid; });
  return found;
}

}  // namespace

double ProbeTour::latest_pour_s() const {
  if (!cup_after) return cup_before.end_s;
  return std::max(0.5 * (added.end_s + cup_after->start_s), cup_after->start_s - settling_s);
}

std::optional<ProbeTour> tour_over_mixing(CurveView cup, double least_after_s) {
  const std::vector<Plateau> found = stations(cup);
  if (found.size() < 3) return std::nullopt;
  const ProbeTour tour{found[found.size() - 3], found[found.size() - 2], found.back()};
  const Plateau& last = found.back();
  const double interval_s = median_interval_s(cup);
  if (cup.back().time_s - last.end_s > 5.0 + 2.0 * interval_s) return std::nullopt;
  if (last.end_s - last.start_s < least_after_s) return std::nullopt;
  // What only warms slowly was not carried.
  if (!tour.added.plunged || !last.plunged) return std::nullopt;
  const Noise noise = estimate_noise(cup);
  if (!lifted_out(cup, tour.cup_before, tour.added, noise)) return std::nullopt;
  // Back in the cup as it was, or in the second vessel once more, is no mixing.
  const double mixing_s = 0.5 * (tour.earliest_pour_s() + tour.latest_pour_s());
  const LineFit cup_line = line_of(cup, tour.cup_before, true);
  const double now_degC = line_of(cup, last, false).at(mixing_s);
  const double cup_degC = cup_line.at(mixing_s);
  const double added_degC = line_of(cup, tour.added, true).at(mixing_s);
  const double least_K = std::max(smallest_change_K, 8.0 * noise.total_K());
  // Both drift unseen meanwhile, and a drift that leaks away bends.
  const double lead_s = mixing_s - cup_line.reference_s;
  const double bent_K =
      0.5 * fastest_leak_per_s * std::abs(cup_line.slope_K_per_s) * lead_s * lead_s;
  const double drifted_K = 0.05 * std::abs(added_degC - cup_degC);
  if (std::abs(now_degC - cup_degC) < least_K + bent_K + 3.0 * cup_line.u_at(mixing_s) ||
      std::abs(now_degC - added_degC) < least_K + drifted_K) {
    return std::nullopt;
  }
  return tour;
}

std::optional<ProbeTour> tour_before_mixing(CurveView cup, double onset_s) {
  const CurveView before = between(cup, cup.front().time_s, onset_s);
  const std::vector<Plateau> found = stations(before);
  if (found.size() < 2) return std::nullopt;
  const ProbeTour tour{found.back(), found[found.size() - 2], std::nullopt};
  if (onset_s - tour.cup_before.end_s > settling_s) return std::nullopt;
  if (!lifted_out(before, tour.added, tour.cup_before, estimate_noise(before))) return std::nullopt;
  return tour;
}

}  // namespace nestcup

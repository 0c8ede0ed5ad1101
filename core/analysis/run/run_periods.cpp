#include "core/analysis/run/run_periods.hpp"

#include <algorithm>
#include <cmath>

#include "core/analysis/readings/line_fit.hpp"
#include "core/analysis/readings/quiet_wander.hpp"
#include "core/analysis/readings/settling.hpp"
#include "core/analysis/rise/likely_rise.hpp"

namespace nestcup {
namespace {

constexpr double to_the_end = INFINITY;

RoomKnowledge room_of(const RunInput& input) {
  RoomKnowledge room;
  if (input.room.size() < 3) return room;
  double sum = 0.0;
  for (const Point& point : input.room) sum += point.temperature_degC;
  room.room_degC = sum / static_cast<double>(input.room.size());
  return room;
}

/// Whether the mark may be the start of what the trace shows to begin at `onset_s`.
bool mark_agrees(const RunPeriods& periods, double onset_s) {
  const auto mark = periods.input.mark_s;
  if (!mark) return false;
  const double allowed_s = 10.0 + 2.0 * periods.interval_s;
  return std::abs(*mark - onset_s) <= allowed_s;
}

/// How far the readings of `beginning` lie off the line through the steady part behind them, K;
/// nothing where they lie on it within its uncertainty.
std::optional<double> off_line_K(CurveView beginning, CurveView steady, const Noise& noise) {
  constexpr std::size_t together = 5;  // readings of which one or two may be knocks
  constexpr double significant = 5.0;
  if (steady.size() < least_fore_readings) return std::nullopt;
  const LineFit line = fit_line(steady);
  const double bias_K = rounding_bias_K(noise);
  double farthest_K = 0.0;
  for (std::size_t i = 0; i < beginning.size(); i += together) {
    const CurveView group = beginning.subspan(i, std::min(together, beginning.size() - i));
    std::vector<double> off_K;
    for (const Point& point : group) {
      off_K.push_back(point.temperature_degC - line.at(point.time_s));
    }
    // The median of five scatters by 0.54 of the single reading, that of one by all of it.
    const double scatter_K = noise.total_K() * (group.size() < together ? 1.0 : 0.54);
    const double u_K = std::hypot(scatter_K, line.u_at(group.front().time_s), bias_K);
    const double median_K = std::abs(median_of(std::move(off_K)));
    if (median_K > significant * u_K) farthest_K = std::max(farthest_K, median_K);
  }
  return farthest_K > 0.0 ? std::optional(farthest_K) : std::nullopt;
}

/// Where the steady foreperiod begins.
void find_fore_start(RunPeriods& periods) {
  const CurveView cup = periods.curve();
  const double first_s = cup.front().time_s;
  const double guard_s = std::max(5.0, 1.2 * periods.interval_s);
  CurveView fore = between(cup, first_s, periods.hint_s - guard_s);
  if (fore.size() < least_fore_readings) fore = between(cup, first_s, periods.hint_s);
  periods.fore_start_s = steady_from(fore, periods.noise).value_or(first_s);
  // A small rise that sets in slowly is seen late, and bends the end instead of the beginning.
  constexpr double late_s = 15.0;
  const CurveView earlier = between(fore, first_s, fore.back().time_s - late_s);
  if (const auto start_s = settled_from(earlier, periods.noise)) {
    periods.fore_start_s = std::min(periods.fore_start_s, *start_s);
  }
  // Where a beginning had to be dropped, the rest of that approach is still dying out.
  periods.fore_start_s += std::min(15.0, 0.75 * (periods.fore_start_s - first_s));
  periods.fore = between(fore, periods.fore_start_s, periods.hint_s);
  // Many beginnings are tried, and once in a hundred runs chance alone refuses the first.
  const auto off_K =
      off_line_K(between(fore, first_s, periods.fore_start_s), periods.fore, periods.noise);
  periods.unsteady_K = off_K.value_or(0.0);
  if (off_K) return;
  periods.fore_start_s = first_s;
  periods.fore = fore;
}

/// Largest spacing of the cup's readings next to `time_s`.
double spacing_at(CurveView cup, double time_s) {
  for (std::size_t i = 1; i < cup.size(); ++i) {
    if (cup[i].time_s >= time_s) return cup[i].time_s - cup[i - 1].time_s;
  }
  return 0.0;
}

}  // namespace

RunPeriods::RunPeriods(const RunInput& run)
    : input(run),
      noise(estimate_run_noise(run.cup, run.onset_hint_s - 5.0)),
      interval_s(median_interval_s(run.cup)),
      cup(without_knocks(run.cup, noise)),
      room(room_of(run)),
      hint_s(run.onset_hint_s),
      mixing_s(run.onset_hint_s),
      u_mixing_s(interval_s) {
  if (curve().empty()) return;
  main_end_s = curve().back().time_s;
  mark_used = mark_agrees(*this, hint_s);
  find_fore_start(*this);
}

CurveView RunPeriods::steady() const {
  return between(curve(), fore_start_s, to_the_end);
}

void RunPeriods::cut() {
  const double guard_s = std::clamp(2.0 * u_mixing_s, 0.0, 5.0);
  fore = between(curve(), fore_start_s, mixing_s - guard_s);
  if (fore.size() < least_fore_readings) fore = between(curve(), fore_start_s, mixing_s);
  main = between(curve(), std::nextafter(mixing_s, main_end_s), main_end_s);
  after = between(curve(), main_end_s, to_the_end);
}

bool RunPeriods::leak_known() const {
  return after.size() >= least_after_readings_for_leak &&
         after.back().time_s - main_end_s >= least_after_for_leak_s;
}

void divide_by_drift(RunPeriods& periods) {
  const CurveView behind = between(periods.curve(), periods.hint_s, to_the_end);
  const LineFit former = fit_line(periods.fore);
  const auto settled = settled_from(behind, periods.noise,
                                    FormerCourse{former.at(periods.hint_s), former.slope_K_per_s});
  periods.settled = settled.has_value();
  const double end_s = periods.curve().back().time_s;
  const double settled_s = settled.value_or(0.5 * (periods.hint_s + end_s));
  // What is left of a first-order approach hides in the noise where the test passes; a third of the
  // way further on it has died out. At the end of a run there may be no room for that.
  constexpr double least_after_s = 20.0;
  const double room_s = std::max(0.0, end_s - settled_s - least_after_s);
  const double margin_s = std::min({30.0, 0.3 * (settled_s - periods.hint_s), room_s});
  periods.after = between(behind, settled_s + margin_s, to_the_end);
  if (!periods.after.empty()) periods.main_end_s = periods.after.front().time_s;
}

void divide_by_course(RunPeriods& periods, const CourseFit& fit) {
  const CurveView cup = periods.curve();
  const double spacing_s = spacing_at(cup, fit.mixing_s());
  const double u_fit_s = std::sqrt(fit.covariance(course::mixing_s, course::mixing_s));
  // No hand pours as evenly as the ramp: how it sets in stays open by a tenth of its length. A
  // solid's course begins at once, for its portions in the mean.
  const double uneven_s = (course::solid_of(fit.form) ? 0.5 : 0.1) * fit.pour_s();
  periods.u_mixing_s = std::hypot(std::min(u_fit_s, std::max(10.0, spacing_s)), uneven_s);
  periods.mixing_s =
      std::clamp(fit.mixing_s(), periods.fore_start_s + 1e-3, cup.back().time_s - 1e-3);
  // A run that began with its mark has no other onset than the course's.
  periods.mark_used = periods.mark_used && mark_agrees(periods, fit.mixing_s());
  if (periods.mark_used) {
    periods.mixing_s = *periods.input.mark_s;
    periods.u_mixing_s = 0.5;
  }
  periods.main_end_s = std::max(main_end_s(fit, cup), std::nextafter(periods.mixing_s, INFINITY));
  periods.cut();
}

}  // namespace nestcup

// Runs of a probe that was carried, and where it came back to its line.
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "core/analysis/mixing/candidate.hpp"
#include "core/analysis/mixing/plateaus.hpp"
#include "core/analysis/run/run_follower.hpp"

namespace nestcup {
namespace {

constexpr TimeUs probe_settling_us = 15 * us_per_s;
constexpr double least_stay_s = 20.0;
constexpr TimeUs back_for_us = 20 * us_per_s;     // so long it lay on its line again
constexpr TimeUs coming_rest_us = 12 * us_per_s;  // of its way back hides in the scatter

}  // namespace

bool RunFollower::emit_tour(TimeUs end_us, bool cut_by_next, bool is_mixing) {
  const std::deque<Reading> watched = past_.unspent(buffer_, onset_us_);
  auto seen = past_.with_mixing(watched, end_us);
  if (!seen || (is_mixing && seen->tour.first_may_be_vessel)) return false;
  const Curve cup = past_.cup_curve(watched, end_us);
  const double onset_s =
      seen->tour.cup_after ? seen->tour.latest_pour_s : onset_behind(cup, seen->tour);
  if (seen->tour.cup_first) {
    const Verdict verdict = judge_candidate(in_cup(cup, seen->tour), onset_s,
                                            seen->tour.latest_pour_s, settings_.heater);
    if (verdict != Verdict::mixing) return false;
  }
  FinishedRun run;
  run.tour = seen->tour;
  run.onset_us = seen->readings.front().time_us + to_us(onset_s);
  run.cut_by_next = cut_by_next;
  take_readings(run, std::move(seen->readings), end_us);
  if (!settings_.heater && !rise_shows(run)) return false;
  hand_out(std::move(run), end_us, cut_by_next ? next_from_us_ : end_us + 1);
  return true;
}

/// From when on what the probe stands in is watched where it was moved there. The liquids in which
/// it stood before may be cups that were filled anew and soon poured into, all before anybody has
/// judged the move, and a gap in the readings splits such a stay: from the first of them on all is
/// watched once more. Where another onset ended the candidate the last stay is the one before a
/// pour.
TimeUs RunFollower::rest_us(TimeUs end_us, bool cut_by_next) const {
  TimeUs rest_us = settled_us_.value_or(end_us);
  if (!cut_by_next) {
    const auto stays = plateaus(cup_curve(onset_us_, end_us));
    const auto first = std::ranges::find_if(stays, [](const Plateau& stay) {
      return stay.in_liquid && stay.end_s - stay.start_s >= least_stay_s;
    });
    if (first != stays.end()) rest_us = std::min(rest_us, onset_us_ + to_us(first->start_s));
  }
  // It needs some seconds more until it is as warm as what it stands in.
  return std::min(end_us, rest_us + probe_settling_us);
}

/// Last reading that was off the line to which the probe came back. At most the half of the time
/// for which it has to be back is another onset.
TimeUs RunFollower::back_since_us() const {
  const WatchedLine& line = detector_.line();
  TimeUs off_us = onset_us_;
  for (const Reading& reading : buffer_) {
    if (reading.time_us >= *last_cup_us_ - back_for_us / 2) break;
    if (roles_[reading.probe] != ProbeRole::cup || reading.time_us < onset_us_) continue;
    const double off_K = line.distance_K(reading.time_us, reading.temperature_degC);
    if (std::abs(off_K) > line.explained_K(reading.time_us)) off_us = reading.time_us;
  }
  return off_us;
}

/// First reading of the excursion. Its onset is the first that was clearly off; some before it may
/// have left the line.
TimeUs RunFollower::away_since_us() const {
  constexpr TimeUs longest_us = 20 * us_per_s;
  constexpr double scatters = 2.5;
  const WatchedLine& line = detector_.line();
  TimeUs away_us = onset_us_;
  for (auto reading = buffer_.rbegin(); reading != buffer_.rend(); ++reading) {
    if (reading->time_us < onset_us_ - longest_us) break;
    if (roles_[reading->probe] != ProbeRole::cup || reading->time_us >= onset_us_) continue;
    const double off_K = line.distance_K(reading->time_us, reading->temperature_degC);
    if (std::abs(off_K) < scatters * line.noise.total_K()) break;
    away_us = reading->time_us;
  }
  return away_us;
}

Curve RunFollower::judged_curve(TimeUs end_us) const {
  const TimeUs first_us = buffer_.front().time_us;
  Curve curve = cup_curve(first_us, end_us);
  if (!away_) return curve;
  std::erase_if(curve, [&](const Point& point) {
    const TimeUs time_us = first_us + to_us(point.time_s);
    return time_us >= away_->left_us && time_us <= away_->back_us;
  });
  return curve;
}

/// A run's readings alone tell what it was, so what lay before them must not matter.
std::optional<Excursion> RunFollower::excursion() const {
  const auto is_in_foreperiod = [&](const std::optional<Excursion>& away) {
    return away && away->left_us > buffer_.front().time_us && away->back_us < onset_us_;
  };
  if (!is_in_foreperiod(away_)) return std::nullopt;
  RunFollower again(settings_, roles_);
  for (const Reading& reading : buffer_) {
    if (reading.time_us < onset_us_) again.feed(reading);
  }
  again.take_waiting();
  return is_in_foreperiod(again.away_) ? again.away_ : std::nullopt;
}

/// Median distance of the last readings to the line to which the probe came back, K; 0 where they
/// are so few that they may be on their way past it.
double RunFollower::off_line_K() const {
  std::vector<double> distances_K;
  for (const Reading& reading : buffer_) {
    if (roles_[reading.probe] != ProbeRole::cup) continue;
    if (reading.time_us < *last_cup_us_ - back_for_us) continue;
    distances_K.push_back(detector_.line().distance_K(reading.time_us, reading.temperature_degC));
  }
  constexpr std::size_t least_readings = 8;
  return distances_K.size() < least_readings ? 0.0 : median_of(std::move(distances_K));
}

/// Back on its line: the foreperiod goes on, and the excursion is not looked at again. By what the
/// cup has drifted off a line carried on for minutes is no step: what lies before is given to the
/// detector as far off.
void RunFollower::resume_line() {
  const Excursion away{away_since_us(), back_since_us() + coming_rest_us};
  away_ = away;
  const double off_K = off_line_K();
  stop_running();
  detector_ = MixingDetector();
  for (const Reading& reading : buffer_) {
    if (roles_[reading.probe] != ProbeRole::cup) continue;
    if (reading.time_us >= away.left_us && reading.time_us <= away.back_us) continue;
    const double now_degC =
        reading.temperature_degC + (reading.time_us < away.left_us ? off_K : 0.0);
    if (detector_.feed(reading.time_us, now_degC) == MixingDetector::State::confirmed) {
      detector_ = MixingDetector();
    }
  }
}

}  // namespace nestcup

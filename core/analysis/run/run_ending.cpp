// How a run ends: judged, and handed out or withdrawn.
#include <algorithm>
#include <cmath>
#include <utility>

#include "core/analysis/mixing/candidate.hpp"
#include "core/analysis/readings/settling.hpp"
#include "core/analysis/run/run_analysis.hpp"
#include "core/analysis/run/run_follower.hpp"

namespace nestcup {
namespace {

constexpr TimeUs mark_reach_us = 20 * us_per_s;
constexpr double long_course_s = 150.0;
/// The onset is the first reading that is clearly off; the pour began some seconds earlier.
constexpr TimeUs before_onset_us = 4 * us_per_s;

}  // namespace

void RunFollower::cut_running() {
  const TimeUs two_readings_us = to_us(2.0 * detector_.interval_s());
  TimeUs onset_us = next_->onset_us();
  // Behind a gap the onset may be as old as the gap.
  const auto before = std::find_if(buffer_.rbegin(), buffer_.rend(), [&](const Reading& reading) {
    return reading.time_us < onset_us && roles_[reading.probe] == ProbeRole::cup;
  });
  if (before != buffer_.rend()) onset_us = std::min(onset_us, before->time_us + two_readings_us);
  finish_running(onset_us - before_onset_us - two_readings_us, true, false);
}

void RunFollower::finish_running(TimeUs end_us, bool cut_by_next, bool asked) {
  const Curve curve = cup_curve(onset_us_, end_us);
  const auto settled = settled_from(curve, run_noise(curve), former_course());
  if (settled) settled_us_ = onset_us_ + to_us(*settled);
  // A mark says that it was a mixing, whatever the curve looks like.
  const bool marked = mark_us_ && std::abs(*mark_us_ - onset_us_) <= mark_reach_us;
  if (asked || forced_ || marked) return emit(end_us, cut_by_next, true);
  if (emit_tour(end_us, cut_by_next, true)) return;
  if (cut_by_next && past_.was_visit(buffer_, onset_us_, end_us)) {
    return withdraw_move("the probe was moved", std::min(end_us, next_from_us_));
  }
  // Two onsets on the heels of each other are a probe on its way, not two mixings; and what has not
  // settled when the readings end can be anything.
  const double since_s = to_s(end_us - onset_us_);
  if (!settled && (cut_by_next || since_s < long_course_s)) {
    // The foreperiod of the next is where its detector began.
    return withdraw("it never settled",
                    cut_by_next ? std::min(end_us, next_from_us_) : rest_us(end_us, false));
  }
  // A long course that scatters more than it should: its last part is judged as the drift.
  if (!settled) settled_us_ = onset_us_ + to_us(0.5 * since_s);
  if (leads_back(end_us))
    return withdraw_move("it came back to an earlier line", rest_us(end_us, cut_by_next));
  if (settled_us_) {
    const TimeUs first_us = buffer_.front().time_us;
    const Verdict verdict = judge_candidate(judged_curve(end_us), to_s(onset_us_ - first_us),
                                            to_s(*settled_us_ - first_us), settings_.heater);
    if (verdict != Verdict::mixing) {
      // What only warms or cools was not carried.
      if (verdict != Verdict::slow_heating && emit_tour(end_us, cut_by_next, false)) return;
      const std::string reason(verdict_name(verdict));
      return verdict == Verdict::probe_moved ? withdraw_move(reason, rest_us(end_us, cut_by_next))
                                             : withdraw(reason, rest_us(end_us, cut_by_next));
    }
  }
  emit(end_us, cut_by_next, settings_.heater);
}

void RunFollower::withdraw_move(std::string reason, TimeUs restart_us) {
  moved_us_ = restart_us;
  withdraw(std::move(reason), restart_us);
}

/// Takes the readings into a run.
void RunFollower::take_readings(FinishedRun& run, std::vector<Reading> readings,
                                TimeUs end_us) const {
  std::size_t kept = 0;
  for (const Reading& reading : readings) {
    if (reading.time_us > end_us) break;
    run.readings.push_back(reading);
    if (roles_[reading.probe] == ProbeRole::cup) kept = run.readings.size();
  }
  // A run ends with a reading of its cup, so that its readings alone tell where it ended.
  run.readings.resize(kept);
  if (mark_us_ && !run.readings.empty() && *mark_us_ <= end_us) {
    if (*mark_us_ >= run.readings.front().time_us) run.mark_us = mark_us_;
    run.marked_by = marked_by_;
  }
  run.after_period_s = settings_.after_period_s;
  run.heater = settings_.heater;
}

/// Whether the run's own analysis finds a rise. The judgement looks at a few minutes and at one
/// course at a time; what moved probes and passing heat leave may lie near one of them.
bool RunFollower::rise_shows(const FinishedRun& run) const {
  constexpr TimeUs soon_us = 120 * us_per_s;
  const bool moved = run.tour || (moved_us_ && onset_us_ - *moved_us_ < soon_us);
  return nestcup::rise_shows(run_input(run, roles_), moved);
}

/// Lets the run go and watches on from `restart_us`.
void RunFollower::hand_out(FinishedRun run, TimeUs end_us, TimeUs restart_us) {
  if (mark_us_ && !run.readings.empty() && *mark_us_ <= end_us) mark_us_.reset();
  finished_.push_back(std::move(run));
  last_withdrawal_.clear();
  moved_us_.reset();
  remember_line();
  begin_behind_run();
  restart_watching(restart_us);
}

void RunFollower::emit(TimeUs end_us, bool cut_by_next, bool believed) {
  FinishedRun run;
  run.onset_us = onset_us_;
  run.cut_by_next = cut_by_next;
  std::vector<Reading> readings(buffer_.begin(), buffer_.end());
  if (auto seen = past_.before_mixing(buffer_, onset_us_)) {
    run.tour = seen->tour;
    readings = std::move(seen->readings);
  } else {
    run.away = excursion();
  }
  take_readings(run, std::move(readings), end_us);
  if (!believed && !rise_shows(run)) {
    return withdraw("its rise is lost in its uncertainty", rest_us(end_us, cut_by_next));
  }
  // What follows a run cut by the next is that one's foreperiod.
  hand_out(std::move(run), end_us, cut_by_next ? next_from_us_ : end_us + 1);
}

}  // namespace nestcup

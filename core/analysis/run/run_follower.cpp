#include "core/analysis/run/run_follower.hpp"

#include <algorithm>
#include <utility>

#include "core/analysis/mixing/candidate.hpp"
#include "core/analysis/readings/settling.hpp"

namespace nestcup {
namespace {

constexpr TimeUs longest_foreperiod_us = 600 * us_per_s;
constexpr TimeUs check_every_us = 2 * us_per_s;
constexpr TimeUs mark_patience_us = 60 * us_per_s;
constexpr TimeUs mark_reach_us = 20 * us_per_s;
constexpr TimeUs watching_gap_us = 300 * us_per_s;  // a foreperiod with such a hole is none
constexpr TimeUs running_gap_us = 900 * us_per_s;
constexpr double long_course_s = 150.0;
constexpr TimeUs return_us = 45 * us_per_s;  // a probe that comes back has followed by then
/// The onset is the first reading that is clearly off; the pour began some seconds earlier.
constexpr TimeUs before_onset_us = 4 * us_per_s;

}  // namespace

std::string_view run_state_name(RunState state) {
  switch (state) {
    case RunState::watching:
      return "watching";
    case RunState::suspected:
      return "suspected";
    case RunState::running:
      return "running";
  }
  return "watching";
}

RunFollower::RunFollower(Settings settings, std::vector<ProbeRole> roles)
    : settings_(settings), roles_(std::move(roles)), past_(roles_) {}

void RunFollower::begin_behind_run() {
  past_.spend();
  after_mixing_ = true;
}

void RunFollower::feed(const Reading& reading) {
  // A run holds all readings of its last instant, so the cup's is judged when the next one comes.
  if (waiting_ && reading.time_us > waiting_->time_us) take_waiting();
  const bool is_cup = roles_[reading.probe] == ProbeRole::cup;
  if (is_cup && last_cup_us_) {
    const TimeUs gap_us = reading.time_us - *last_cup_us_;
    if (running_ && gap_us > running_gap_us) finish_running(*last_cup_us_, false, false);
    if (!running_ && gap_us > watching_gap_us) {
      buffer_.clear();
      past_.clear();
      detector_ = MixingDetector();
    }
  }
  buffer_.push_back(reading);
  if (is_cup) waiting_ = reading;
}

void RunFollower::take_waiting() {
  if (!waiting_) return;
  const Reading reading = *waiting_;
  waiting_.reset();
  feed_cup(reading.time_us, reading.temperature_degC);
}

void RunFollower::feed_cup(TimeUs time_us, double temperature_degC) {
  last_cup_us_ = time_us;
  last_cup_degC_ = temperature_degC;
  if (running_) return step_running(time_us, temperature_degC);
  const auto state = detector_.feed(time_us, temperature_degC);
  if (state == MixingDetector::State::confirmed) return start_running(detector_.onset_us(), false);
  const bool suspected = state == MixingDetector::State::suspected;
  if (mark_us_ && time_us - *mark_us_ > mark_patience_us) return start_running(*mark_us_, true);
  let_go_before((suspected ? detector_.onset_us() : time_us) - longest_foreperiod_us);
}

void RunFollower::start_running(TimeUs onset_us, bool forced) {
  running_ = true;
  forced_ = forced;
  onset_us_ = onset_us;
  settled_us_.reset();
  next_.reset();
  cut_us_.reset();
  checked_ = -1;
  last_stay_.forget();
  let_go_before(onset_us - longest_foreperiod_us);
}

void RunFollower::step_running(TimeUs time_us, double temperature_degC) {
  if (!cut_us_ && next_ &&
      next_->feed(time_us, temperature_degC) == MixingDetector::State::confirmed) {
    if (drifted_before_next()) {
      cut_us_ = time_us;
    } else {
      next_.reset();
    }
  }
  if (cut_us_) {
    if (is_back(time_us)) return withdraw("it came back to the foreperiod's line", std::nullopt);
    const auto wait_us = std::max(return_us, to_us(5.0 * detector_.interval_s()));
    if (time_us - *cut_us_ >= wait_us) cut_running();
    return;
  }
  // Readings that may belong to another onset say nothing about how this one settled.
  if (next_ && next_->state() == MixingDetector::State::suspected) return;
  const std::int64_t slot = (time_us - buffer_.front().time_us) / check_every_us;
  if (slot == checked_) return;
  checked_ = slot;
  check_progress(time_us);
}

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
  if (asked || forced_ || marked) return emit(end_us, cut_by_next);
  if (emit_tour(end_us, cut_by_next, true)) return;
  if (cut_by_next && past_.was_visit(buffer_, onset_us_, end_us)) {
    return withdraw("the probe was moved", std::min(end_us, next_from_us_));
  }
  // Two onsets on the heels of each other are a probe on its way, not two mixings; and what has not
  // settled when the readings end can be anything.
  const double since_s = to_s(end_us - onset_us_);
  if (!settled && (cut_by_next || since_s < long_course_s)) {
    // The foreperiod of the next is where its detector began.
    return withdraw("it never settled", cut_by_next ? std::min(end_us, next_from_us_) : end_us);
  }
  // A long course that scatters more than it should: its last part is judged as the drift.
  if (!settled) settled_us_ = onset_us_ + to_us(0.5 * since_s);
  if (leads_back(end_us))
    return withdraw("it came back to an earlier line", rest_us(end_us, cut_by_next));
  if (settled_us_) {
    const TimeUs first_us = buffer_.front().time_us;
    const Verdict verdict = judge_candidate(judged_curve(end_us), to_s(onset_us_ - first_us),
                                            to_s(*settled_us_ - first_us), settings_.heater);
    if (verdict != Verdict::mixing) {
      // What only warms or cools was not carried.
      if (verdict != Verdict::slow_heating && emit_tour(end_us, cut_by_next, false)) return;
      return withdraw(std::string(verdict_name(verdict)), rest_us(end_us, cut_by_next));
    }
  }
  emit(end_us, cut_by_next);
}

/// Takes the readings into a run and goes on watching from `restart_us`.
void RunFollower::hand_out(FinishedRun run, std::vector<Reading> readings, TimeUs end_us,
                           TimeUs restart_us) {
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
    mark_us_.reset();
  }
  run.after_period_s = settings_.after_period_s;
  run.heater = settings_.heater;
  finished_.push_back(std::move(run));
  last_withdrawal_.clear();
  remember_line();
  begin_behind_run();
  restart_watching(restart_us);
}

void RunFollower::emit(TimeUs end_us, bool cut_by_next) {
  FinishedRun run;
  run.onset_us = onset_us_;
  run.cut_by_next = cut_by_next;
  std::vector<Reading> readings(buffer_.begin(), buffer_.end());
  if (auto seen = past_.before_mixing(buffer_, onset_us_)) {
    run.tour = seen->tour;
    readings = std::move(seen->readings);
  }
  // What follows a run cut by the next is that one's foreperiod.
  hand_out(std::move(run), std::move(readings), end_us, cut_by_next ? next_from_us_ : end_us + 1);
}

void RunFollower::withdraw(std::string reason, std::optional<TimeUs> restart_us) {
  last_withdrawal_ = std::move(reason);
  if (forced_) mark_us_.reset();
  remember_stay();
  if (restart_us) {
    remember_line();
    after_mixing_ = false;
    past_.keep(buffer_, onset_us_, *restart_us);
    return restart_watching(*restart_us);
  }
  resume_line();
}

void RunFollower::stop_running() {
  running_ = false;
  forced_ = false;
  settled_us_.reset();
  next_.reset();
  cut_us_.reset();
}

/// Goes on as if `from_us` were the beginning, so that a run's readings alone tell how it was
/// found.
void RunFollower::restart_watching(TimeUs from_us) {
  stop_running();
  detector_ = MixingDetector();
  drop_before(from_us);
  last_cup_us_.reset();
  const auto again = std::exchange(buffer_, {});
  for (const Reading& reading : again) feed(reading);
}

void RunFollower::mark(TimeUs time_us, FoundBy marked_by) {
  mark_us_ = time_us;
  marked_by_ = marked_by;
}

bool RunFollower::finish() {
  take_waiting();
  if (!running_ && detector_.state() == MixingDetector::State::suspected) {
    start_running(detector_.onset_us(), false);
  }
  if (!running_) return false;
  finish_running(*last_cup_us_, false, true);
  return true;
}

void RunFollower::end_of_data() {
  take_waiting();
  if (!running_ && mark_us_ && last_cup_us_ && *last_cup_us_ > *mark_us_)
    start_running(*mark_us_, true);
  if (!running_ && detector_.state() == MixingDetector::State::suspected) {
    const WatchedLine& line = detector_.line();
    const double distance = std::abs(line.distance_K(*last_cup_us_, last_cup_degC_));
    if (distance > std::max(0.15, 2.0 * line.explained_K(*last_cup_us_))) {
      start_running(detector_.onset_us(), false);
    }
  }
  if (!running_) return;
  if (cut_us_) return cut_running();
  finish_running(*last_cup_us_, false, false);
}

std::optional<FinishedRun> RunFollower::take_finished() {
  if (finished_.empty()) return std::nullopt;
  FinishedRun run = std::move(finished_.front());
  finished_.pop_front();
  return run;
}

RunState RunFollower::state() const {
  if (running_) return RunState::running;
  return detector_.state() == MixingDetector::State::watching ? RunState::watching
                                                              : RunState::suspected;
}

std::optional<TimeUs> RunFollower::onset_us() const {
  if (running_) return onset_us_;
  if (detector_.state() == MixingDetector::State::watching) return std::nullopt;
  return detector_.onset_us();
}

void RunFollower::let_go_before(TimeUs time_us) {
  for (const Reading& reading : buffer_) {
    if (reading.time_us >= time_us) break;
    past_.follow_on(reading);
  }
  drop_before(time_us);
}

void RunFollower::drop_before(TimeUs time_us) {
  while (!buffer_.empty() && buffer_.front().time_us < time_us) buffer_.pop_front();
}

}  // namespace nestcup

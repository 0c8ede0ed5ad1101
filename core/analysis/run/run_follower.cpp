#include "core/analysis/run/run_follower.hpp"

#include <algorithm>
#include <utility>

namespace nestcup {
namespace {

constexpr TimeUs longest_foreperiod_us = 600 * us_per_s;
constexpr TimeUs check_every_us = 2 * us_per_s;
constexpr TimeUs mark_patience_us = 60 * us_per_s;
constexpr TimeUs watching_gap_us = 300 * us_per_s;  // a foreperiod with such a hole is none
constexpr TimeUs running_gap_us = 900 * us_per_s;
constexpr TimeUs return_us = 45 * us_per_s;  // a probe that comes back has followed by then

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
  // What is watched anew leaves its last reading waiting again.
  while (waiting_ && reading.time_us > waiting_->time_us) take_waiting();
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
  // Behind a candidate that is withdrawn, its after period may be the foreperiod of another.
  std::optional<TimeUs> begin_us;
  while (!buffer_.empty() && (!begin_us || buffer_.front().time_us > *begin_us)) {
    begin_us = buffer_.front().time_us;
    end_candidate();
    take_waiting();
  }
}

void RunFollower::end_candidate() {
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

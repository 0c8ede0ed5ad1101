// How a run goes on: whether it has settled, is back where it was, or is followed by another.
#include <algorithm>
#include <cmath>
#include <utility>

#include "core/analysis/readings/counted_readings.hpp"
#include "core/analysis/readings/display_step.hpp"
#include "core/analysis/readings/settling.hpp"
#include "core/analysis/run/run_follower.hpp"

namespace nestcup {
namespace {

constexpr TimeUs settled_later_us = 2 * us_per_s;
constexpr double longest_main_s = 480.0;
constexpr double longest_heating_s = 1800.0;
constexpr double watch_next_after_s = 60.0;
constexpr double stay_s = 30.0;
constexpr double longest_absence_s = 600.0;
// A cup emptied, filled anew and come to rest: what leads back to the drift after a mixing, later
// than this, may be the same mixing done again.
constexpr double shortest_refill_s = 150.0;

}  // namespace

/// A release that dies out leaves every line that is laid through its end.
bool RunFollower::drifted_before_next() const {
  const auto former = former_course();
  if (!former) return true;
  const WatchedLine& line = next_->line();
  const double rise_K = line.fit.at(to_s(next_->onset_us() - line.origin_us)) - former->level_degC;
  const double former_K_per_s = std::abs(former->drift_K_per_s);
  const double onwards = std::copysign(1.0, rise_K) * line.fit.slope_K_per_s;
  const double u = line.fit.u_slope_K_per_s;
  return onwards < former_K_per_s + 2e-4 + 2.0 * u &&
         -onwards < 1e-3 * std::abs(rise_K) + 3e-4 + 1.2 * former_K_per_s + 3.0 * u;
}

bool RunFollower::is_back(TimeUs time_us) const {
  const double longest_s = after_mixing_ ? shortest_refill_s : longest_absence_s;
  const TimeUs back_us = cut_us_ ? next_->onset_us() : time_us;
  if (forced_ || to_s(back_us - onset_us_) > longest_s) return false;
  return came_back(detector_.line(), onset_us_, cup_curve(onset_us_, time_us));
}

bool RunFollower::leads_back(TimeUs end_us) const {
  const auto former = former_course();
  return former && settled_us_ &&
         former_lines_.lead_back(*settled_us_, cup_curve(*settled_us_, end_us), former->level_degC);
}

/// What is left after a mixing is where the same mixing would lead to again.
void RunFollower::remember_line() {
  if (running_ && !forced_ && !after_mixing_) former_lines_.left(detector_.line(), onset_us_);
}

/// What a withdrawn candidate ended with: a probe that comes back from somewhere else comes there.
void RunFollower::remember_stay() {
  if (const auto line = last_stay_.left()) former_lines_.left(*line, *last_cup_us_);
  last_stay_.forget();
}

void RunFollower::watch_next() {
  next_.emplace(MixingDetector::Looks::for_departures);
  for (const Reading& reading : buffer_) {
    if (roles_[reading.probe] != ProbeRole::cup || reading.time_us < next_from_us_) continue;
    next_->feed(reading.time_us, reading.temperature_degC);
  }
}

void RunFollower::check_progress(TimeUs time_us) {
  if (is_back(time_us)) return withdraw("it came back to the foreperiod's line", std::nullopt);
  const Curve curve = cup_curve(onset_us_, time_us);
  const Noise noise = run_noise(curve);
  const auto settled = settled_from(curve, noise, former_course());
  const double since_s = to_s(time_us - onset_us_);
  last_stay_.see(onset_us_, between(curve, since_s - stay_s, INFINITY), noise);
  if (!settled) {
    settled_us_.reset();
    const double longest = settings_.heater ? longest_heating_s : longest_main_s;
    if (since_s > longest) withdraw("it never settled", rest_us(time_us, false));
    return;
  }
  settled_us_ = onset_us_ + to_us(*settled);
  const double after_s = since_s - *settled;
  // The analysis leaves a margin behind the settling, and a run must hold its whole after period.
  const double margin_s = std::min(30.0, 0.3 * *settled);
  // The end of a slow release must not look like the foreperiod of another.
  const TimeUs next_from_us = *settled_us_ + to_us(0.5 * *settled);
  if (after_s >= watch_next_after_s &&
      (!next_ || next_from_us > next_from_us_ + settled_later_us)) {
    next_from_us_ = next_from_us;
    watch_next();
  }
  if (after_s < settings_.after_period_s + margin_s) return;
  finish_running(time_us, false, false);
}

std::optional<FormerCourse> RunFollower::former_course() const {
  if (forced_) return std::nullopt;
  const WatchedLine& line = detector_.line();
  return FormerCourse{line.fit.at(to_s(onset_us_ - line.origin_us)), line.fit.slope_K_per_s};
}

Noise RunFollower::run_noise(const Curve& since_onset) const {
  if (forced_) return estimate_noise(since_onset);
  const WatchedLine& line = detector_.line();
  constexpr std::size_t telling = 20, looked_at = 128;
  // A foreperiod of one digit does not show the step, and one of few readings not the scatter.
  const CurveView newest = CurveView(since_onset).last(std::min(since_onset.size(), looked_at));
  const double step_K = std::max(line.noise.step_K, display_step(newest).step_K);
  if (line.fit.count >= telling) return {line.noise.sd_K, step_K};
  return {std::max(line.noise.sd_K, scatter_K(newest, step_K)), step_K};
}

Curve RunFollower::cup_curve(TimeUs from_us, TimeUs to_us_) const {
  Curve curve;
  for (const Reading& reading : buffer_) {
    if (roles_[reading.probe] != ProbeRole::cup) continue;
    if (reading.time_us < from_us || reading.time_us > to_us_) continue;
    curve.push_back({to_s(reading.time_us - from_us), reading.temperature_degC});
  }
  const auto onset_s = running_ ? std::optional(to_s(onset_us_ - from_us)) : std::nullopt;
  return counted_readings(std::move(curve), onset_s).curve;
}

}  // namespace nestcup

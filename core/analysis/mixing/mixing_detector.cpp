#include "core/analysis/mixing/mixing_detector.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/analysis/mixing/step_scan.hpp"
#include "core/analysis/readings/display_step.hpp"

namespace nestcup {
namespace {

constexpr double shortest_window_s = 220.0, longest_window_s = 540.0;
constexpr double window_readings = 27.0;  // of slow boards
constexpr std::size_t gaps_of_interval = 9;
constexpr double copy_share = 0.2;       // of the interval; what comes sooner is a line said again
constexpr std::size_t least_base = 6;    // fewer do not tell their own scatter
constexpr std::size_t least_voters = 3;  // readings that are judged together; one knock is none
constexpr double voting_s = 6.0;

// A fast onset stands out against what lay before the last few seconds; one spread over minutes
// only against what lay half a minute back.
constexpr std::array guards_s{6.0, 30.0};
// The longest of these stretches that is a straight line within its scatter is watched.
constexpr std::array base_lengths_s{150.0, 60.0, 25.0};

constexpr double smallest_departure_K = 0.05;
constexpr double confirmed_rise_K = 0.08;  // confirmed from here on: 0.15 K less scatter and leak
constexpr double patience_s = 240.0;       // a suspicion that grows no further is given up
constexpr double slow_interval_s = 4.0;
constexpr double alikeness_holds_s = 10.0;  // a board's way with its readings does not change
constexpr std::size_t alikeness_readings = 256;
constexpr double step_group_s = 5.0;  // readings are grouped to look for a step

/// Noise that gives, with the rounding to a step, this scatter.
Noise scatter_of(double sd_K, double step_K) {
  return {std::sqrt(std::max(0.0, sd_K * sd_K - step_K * step_K / 12.0)), step_K};
}

}  // namespace

double MixingDetector::interval_s() const {
  std::vector<double> gaps;
  for (std::size_t i = window_.size(); i > 1 && gaps.size() < gaps_of_interval; --i) {
    gaps.push_back(to_s(window_[i - 1].time_us - window_[i - 2].time_us));
  }
  return median_of(std::move(gaps));
}

void MixingDetector::drop_old(TimeUs now_us) {
  const double length_s =
      std::clamp(window_readings * interval_s(), shortest_window_s, longest_window_s);
  const TimeUs first_us = now_us - to_us(length_s);
  while (!window_.empty() && window_.front().time_us < first_us) window_.pop_front();
}

std::size_t MixingDetector::first_of_last() const {
  const TimeUs from_us = window_.back().time_us - to_us(voting_s);
  std::size_t first = window_.size() - std::min(window_.size(), least_voters);
  while (first > 0 && window_[first - 1].time_us >= from_us) --first;
  return first;
}

const Alikeness& MixingDetector::alikeness(CurveView readings) {
  const TimeUs now_us = window_.back().time_us;
  if (!alikeness_ || now_us - alikeness_us_ >= to_us(alikeness_holds_s)) {
    alikeness_ = alikeness_of(readings.last(std::min(readings.size(), alikeness_readings)));
    alikeness_us_ = now_us;
  }
  return *alikeness_;
}

std::optional<WatchedLine> MixingDetector::line_through(CurveView base, CurveView whole) {
  const TimeUs now_us = window_.back().time_us;
  auto line = watched_line(base, now_us);
  if (line && line->neighbours_tell_scatter()) return line;
  const Alikeness& alike = alikeness(whole);
  return alike.times_said > 1 || alike.apart > 1 ? watched_line(base, now_us, alike) : line;
}

std::optional<WatchedLine> MixingDetector::line_until(double guard_s) {
  const double interval = interval_s();
  const TimeUs now_us = window_.back().time_us;
  const TimeUs end_us = now_us - to_us(std::max(guard_s, (least_voters - 0.5) * interval));
  const double end_s = to_s(end_us - now_us);
  Curve whole;
  whole.reserve(window_.size());
  for (const Seen& seen : window_) {
    if (seen.time_us > end_us) break;
    whole.push_back({to_s(seen.time_us - now_us), seen.temperature_degC});
  }
  // A line carried on further than it was seen is a guess.
  const double least_span_s = std::max(11.0, 1.5 * guard_s);
  for (const double length : base_lengths_s) {
    const CurveView base = between(whole, end_s - std::max(length, 7.5 * interval), 1.0);
    if (base.size() < least_base || base.back().time_s - base.front().time_s < least_span_s) break;
    if (auto line = line_through(base, whole)) return line;
  }
  return std::nullopt;
}

std::optional<TimeUs> MixingDetector::off_since(const WatchedLine& line) const {
  if (window_.size() < least_voters) return std::nullopt;
  const std::size_t first = first_of_last();
  std::vector<double> distances;
  for (std::size_t i = first; i < window_.size(); ++i) {
    distances.push_back(line.distance_K(window_[i].time_us, window_[i].temperature_degC));
  }
  const double median_K = median_of(distances);
  const TimeUs now_us = window_.back().time_us;
  const double allowed_K =
      std::max(smallest_departure_K, line.explained_of_median_K(now_us, distances.size()));
  // A fast rise shows in fewer readings than the median needs.
  double least_K = INFINITY;
  for (std::size_t i = distances.size() - least_voters; i < distances.size(); ++i) {
    least_K = std::min(least_K, std::copysign(1.0, distances.back()) * distances[i]);
  }
  const bool last_off = least_K > std::max(smallest_departure_K, line.explained_K(now_us));
  if (!last_off && std::abs(median_K) <= allowed_K) return std::nullopt;
  const double side = last_off ? distances.back() : median_K;
  std::size_t i = distances.size() - 1;
  while (i > 0 && distances[i - 1] * side > 0.0 && std::abs(distances[i - 1]) > 0.5 * allowed_K) {
    --i;
  }
  return window_[first + i].time_us;
}

double MixingDetector::last_distance_K() const {
  std::vector<double> distances;
  for (std::size_t i = first_of_last(); i < window_.size(); ++i) {
    distances.push_back(line_.distance_K(window_[i].time_us, window_[i].temperature_degC));
  }
  return median_of(std::move(distances));
}

void MixingDetector::look_for_onset() {
  for (const double guard : guards_s) {
    const auto line = line_until(guard);
    if (!line) continue;
    const auto onset_us = off_since(*line);
    if (!onset_us) continue;
    line_ = *line;
    state_ = State::suspected;
    onset_us_ = *onset_us;
    farthest_K_ = 0.0;
    return;
  }
}

void MixingDetector::follow_suspicion() {
  const TimeUs now_us = window_.back().time_us;
  const double since_s = to_s(now_us - onset_us_);
  const std::size_t voters = window_.size() - first_of_last();
  const double distance_K = std::abs(last_distance_K());
  const double explained_K = line_.explained_of_median_K(now_us, voters);
  farthest_K_ = std::max(farthest_K_, distance_K);
  if (distance_K < std::max(0.8 * smallest_departure_K, 0.8 * explained_K)) {
    return forget_suspicion();
  }
  const double hold_s = std::max(12.0, 3.0 * interval_s());
  if (since_s < hold_s) return;
  if (distance_K >= std::max(confirmed_rise_K, 1.2 * explained_K)) {
    state_ = State::confirmed;
    tighten_onset();
  } else if (since_s > patience_s) {
    state_ = State::watching;
    window_.clear();
  }
}

/// The onset was found by readings that may have been off by chance, or by a digit that changed
/// long before.
void MixingDetector::tighten_onset() {
  std::vector<double> newest;
  for (std::size_t i = window_.size() - least_voters; i < window_.size(); ++i) {
    newest.push_back(line_.distance_K(window_[i].time_us, window_[i].temperature_degC));
  }
  const double distance_K = median_of(std::move(newest));
  const double enough_K = 0.35 * std::abs(distance_K);
  for (std::size_t i = window_.size() - 1; i > 0 && window_[i - 1].time_us >= onset_us_; --i) {
    const Seen& seen = window_[i - 1];
    const double off_K = line_.distance_K(seen.time_us, seen.temperature_degC);
    if (std::copysign(1.0, distance_K) * off_K > enough_K) continue;
    onset_us_ = window_[i].time_us;
    return;
  }
}

void MixingDetector::forget_suspicion() {
  // A clear excursion must not become part of the line.
  if (farthest_K_ > 2.0 * line_.explained_K(onset_us_)) {
    const TimeUs from_us = onset_us_ - 2 * us_per_s;
    std::erase_if(window_, [&](const Seen& seen) { return seen.time_us >= from_us; });
  }
  state_ = State::watching;
}

void MixingDetector::look_for_step() {
  const TimeUs now_us = window_.back().time_us;
  const double interval = interval_s();
  if (scanned_us_ && now_us - *scanned_us_ < to_us(step_group_s)) return;
  scanned_us_ = now_us;
  // Groups of a few seconds, counted from the newest reading.
  Curve groups;
  std::vector<double> group;
  const double length_s = std::max(step_group_s, interval);
  std::vector<double> times_s;
  const auto close = [&] {
    if (group.empty()) return;
    groups.push_back({median_of(times_s), median_of(group)});
    group.clear();
    times_s.clear();
  };
  double group_end_s = 0.0;
  for (std::size_t i = window_.size(); i-- > 0;) {
    const double time_s = to_s(window_[i].time_us - now_us);
    if (time_s <= group_end_s - length_s + 1e-9) {
      close();
      group_end_s = time_s;
    }
    group.push_back(window_[i].temperature_degC);
    times_s.push_back(time_s);
  }
  close();
  std::reverse(groups.begin(), groups.end());
  Curve all;
  for (const Seen& seen : window_)
    all.push_back({to_s(seen.time_us - now_us), seen.temperature_degC});
  const CurveView recent = CurveView(all).last(std::min(all.size(), noise_points));
  const double step_K = display_step(recent).step_K;
  const Noise noise{scatter_K(recent, step_K), step_K};
  // Fast readings of a fine display: a line tells as much, and sooner.
  if (interval < slow_interval_s && noise.sd_K >= 0.4 * step_K) return;
  const auto found = find_step(groups, noise);
  if (!found) return;
  line_.origin_us = now_us;
  line_.fit = found->fore;
  line_.noise = scatter_of(found->sd_K, step_K);
  const auto first = std::find_if(window_.begin(), window_.end(), [&](const Seen& seen) {
    return to_s(seen.time_us - now_us) >= found->onset_s - 0.5 * length_s;
  });
  onset_us_ = first->time_us;
  state_ = State::confirmed;
  tighten_onset();
}

/// Whether a board said a line again, or said at once what had waited: hundreds of readings of one
/// moment would be most of the line's weight, and leave its slope open.
bool MixingDetector::is_copy(TimeUs time_us) const {
  return window_.size() > gaps_of_interval &&
         to_s(time_us - window_.back().time_us) < copy_share * interval_s();
}

MixingDetector::State MixingDetector::feed(TimeUs time_us, double temperature_degC) {
  if (state_ == State::confirmed || is_copy(time_us)) return state_;
  window_.push_back({time_us, temperature_degC});
  drop_old(state_ == State::suspected ? std::min(time_us, onset_us_) : time_us);
  if (state_ == State::watching) look_for_onset();
  if (state_ == State::suspected) follow_suspicion();
  if (state_ != State::confirmed && looks_ == Looks::for_steps && !window_.empty()) look_for_step();
  return state_;
}

}  // namespace nestcup

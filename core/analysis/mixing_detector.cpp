#include "core/analysis/mixing_detector.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace nestcup {
namespace {

constexpr TimeUs window_us = 220 * us_per_s;
constexpr std::size_t fit_points = 128;  // thinned to so many: plenty for a line
constexpr std::size_t noise_points = 64;
constexpr std::size_t voters = 3;  // readings in a row that must agree; one knock is none

// A fast onset stands out against what lay before the last few seconds; one spread over minutes
// only against what lay half a minute back.
constexpr std::array guards_s{6.0, 30.0};
// The longest of these stretches that is a straight line within its scatter is watched.
constexpr std::array base_lengths_s{150.0, 60.0, 25.0};

constexpr double smallest_departure_K = 0.05;
constexpr double smallest_rise_K = 0.12;  // confirmed from here on: 0.15 K less scatter and leak
constexpr double patience_s = 240.0;      // a suspicion that grows no further is given up

Curve thinned(CurveView curve, std::size_t most) {
  if (curve.size() <= most) return {curve.begin(), curve.end()};
  const std::size_t stride = (curve.size() + most - 1) / most;
  Curve kept;
  // Counted from the newest end, so that the choice does not depend on when the log began.
  for (std::size_t i = curve.size(); i > 0; i -= std::min(i, stride)) kept.push_back(curve[i - 1]);
  std::reverse(kept.begin(), kept.end());
  return kept;
}

/// Line through `base` without its far-off points (knocks), or nothing if it is no line.
std::optional<LineFit> clipped_line(const Curve& base, const Noise& noise) {
  const double scale = std::max(noise.total_K(), 5e-4);
  LineFit fit = fit_line(base);
  Curve kept;
  for (const Point& point : base) {
    if (std::abs(point.temperature_degC - fit.at(point.time_s)) < 4.0 * scale) {
      kept.push_back(point);
    }
  }
  if (kept.size() < base.size() && 4 * kept.size() >= 3 * base.size()) fit = fit_line(kept);
  const auto n = static_cast<double>(fit.count);
  const bool straight = fit.sd_K <= (1.25 + 2.0 / std::sqrt(n)) * scale + 0.25 * noise.step_K;
  return straight ? std::optional(fit) : std::nullopt;
}

}  // namespace

double WatchedLine::distance_K(TimeUs time_us, double temperature_degC) const {
  return temperature_degC - fit.at(to_s(time_us - origin_us));
}

double WatchedLine::explained_K(TimeUs time_us) const {
  const double time_s = to_s(time_us - origin_us);
  const double lead_s = std::abs(time_s - fit.reference_s);
  // A cooling curve bends: a tenth of the drift over the lead covers leaks up to 2e-3 per s.
  return 4.5 * noise.sd_K + 1.1 * noise.step_K + 0.1 * std::abs(fit.slope_K_per_s) * lead_s +
         3.0 * fit.u_at(time_s);
}

double MixingDetector::interval_s() const {
  std::vector<double> gaps;
  for (std::size_t i = window_.size(); i > 1 && gaps.size() < 9; --i) {
    gaps.push_back(to_s(window_[i - 1].time_us - window_[i - 2].time_us));
  }
  return median_of(std::move(gaps));
}

void MixingDetector::drop_old(TimeUs now_us) {
  while (!window_.empty() && window_.front().time_us < now_us - window_us) window_.pop_front();
}

std::optional<WatchedLine> MixingDetector::line_until(double guard_s) const {
  const double interval = interval_s();
  const TimeUs now_us = window_.back().time_us;
  const TimeUs end_us = now_us - to_us(std::max(guard_s, (voters - 0.5) * interval));
  const double end_s = to_s(end_us - now_us);
  Curve whole;
  whole.reserve(window_.size());
  for (const Seen& seen : window_) {
    if (seen.time_us > end_us) break;
    whole.push_back({to_s(seen.time_us - now_us), seen.temperature_degC});
  }
  // A line carried on further than it was seen is a guess.
  const double least_span_s = std::max(11.0, 1.5 * guard_s);
  WatchedLine line;
  line.origin_us = now_us;
  for (const double length : base_lengths_s) {
    const CurveView base = between(whole, end_s - std::max(length, 4.5 * interval), 1.0);
    if (base.size() < 3 || base.back().time_s - base.front().time_s < least_span_s) break;
    line.noise = estimate_noise(base.last(std::min(base.size(), noise_points)));
    if (const auto fit = clipped_line(thinned(base, fit_points), line.noise)) {
      line.fit = *fit;
      return line;
    }
  }
  return std::nullopt;
}

bool MixingDetector::last_all_off(const WatchedLine& line) const {
  if (window_.size() < voters) return false;
  int above = 0, below = 0;
  for (std::size_t i = window_.size() - voters; i < window_.size(); ++i) {
    const Seen& seen = window_[i];
    const double allowed = std::max(smallest_departure_K, line.explained_K(seen.time_us));
    const double distance = line.distance_K(seen.time_us, seen.temperature_degC);
    above += distance > allowed;
    below += distance < -allowed;
  }
  return above == static_cast<int>(voters) || below == static_cast<int>(voters);
}

void MixingDetector::look_for_onset() {
  for (const double guard : guards_s) {
    const auto line = line_until(guard);
    if (!line || !last_all_off(*line)) continue;
    line_ = *line;
    state_ = State::suspected;
    onset_us_ = window_[window_.size() - voters].time_us;
    return;
  }
}

void MixingDetector::follow_suspicion() {
  const TimeUs now_us = window_.back().time_us;
  const double since_s = to_s(now_us - onset_us_);
  int back = 0;
  std::vector<double> distances;
  for (std::size_t i = window_.size() - voters; i < window_.size(); ++i) {
    const Seen& seen = window_[i];
    const double distance = line_.distance_K(seen.time_us, seen.temperature_degC);
    const double allowed = std::max(0.8 * smallest_departure_K, line_.explained_K(seen.time_us));
    back += std::abs(distance) < allowed;
    distances.push_back(std::abs(distance));
  }
  if (back == static_cast<int>(voters)) return forget_suspicion();
  const double hold_s = std::max(12.0, 3.0 * interval_s());
  if (since_s < hold_s) return;
  const double wanted_K = std::max(smallest_rise_K, 1.5 * line_.explained_K(now_us));
  if (median_of(distances) >= wanted_K) {
    state_ = State::confirmed;
  } else if (since_s > patience_s) {
    forget_suspicion();
    window_.clear();
  }
}

void MixingDetector::forget_suspicion() {
  // The excursion must not become part of the line.
  const TimeUs from_us = onset_us_ - 2 * us_per_s;
  std::erase_if(window_, [&](const Seen& seen) { return seen.time_us >= from_us; });
  state_ = State::watching;
}

MixingDetector::State MixingDetector::feed(TimeUs time_us, double temperature_degC) {
  if (state_ == State::confirmed) return state_;
  window_.push_back({time_us, temperature_degC});
  drop_old(state_ == State::suspected ? std::min(time_us, onset_us_) : time_us);
  if (state_ == State::watching) look_for_onset();
  if (state_ == State::suspected) follow_suspicion();
  return state_;
}

}  // namespace nestcup

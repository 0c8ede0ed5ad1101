#include "core/analysis/mixing/probe_past.hpp"

#include <algorithm>

namespace nestcup {
namespace {

constexpr TimeUs longest_us = 1200 * us_per_s;
/// A mixing that was not seen must show in so much of an after period.
constexpr double least_after_s = 60.0;

}  // namespace

ProbePast::ProbePast(const std::vector<ProbeRole>& roles)
    : roles_(roles), one_probe_(std::ranges::find(roles, ProbeRole::added) == roles.end()) {}

void ProbePast::keep(const std::deque<Reading>& watched, TimeUs onset_us, TimeUs until_us) {
  if (!one_probe_) return;
  const TimeUs from_us = spent_ ? onset_us : until_us - longest_us;
  for (const Reading& reading : watched) {
    if (reading.time_us >= from_us && reading.time_us < until_us) readings_.push_back(reading);
  }
  forget_old(until_us);
  spent_ = false;
}

void ProbePast::forget_old(TimeUs now_us) {
  while (!readings_.empty() && readings_.front().time_us < now_us - longest_us) {
    readings_.pop_front();
  }
}

void ProbePast::follow_on(const Reading& reading) {
  if (readings_.empty()) return;
  readings_.push_back(reading);
  forget_old(reading.time_us);
}

void ProbePast::spend() {
  clear();
  spent_ = true;
}

void ProbePast::clear() {
  readings_.clear();
  spent_ = false;
}

std::deque<Reading> ProbePast::unspent(const std::deque<Reading>& watched, TimeUs onset_us) const {
  std::deque<Reading> left = watched;
  while (spent_ && !left.empty() && left.front().time_us < onset_us) left.pop_front();
  return left;
}

TimeUs ProbePast::first_us(const std::deque<Reading>& watched) const {
  return (readings_.empty() ? watched : readings_).front().time_us;
}

Curve ProbePast::cup_curve(const std::deque<Reading>& watched, TimeUs until_us) const {
  Curve curve;
  const TimeUs zero_us = first_us(watched);
  for (const auto* part : {&readings_, &watched}) {
    for (const Reading& reading : *part) {
      if (roles_[reading.probe] != ProbeRole::cup || reading.time_us > until_us) continue;
      curve.push_back({to_s(reading.time_us - zero_us), reading.temperature_degC});
    }
  }
  return curve;
}

/// With all that is remembered, so that a run's readings, fed again, show the same tour.
SeenTour ProbePast::seen(const std::deque<Reading>& watched, const ProbeTour& tour) const {
  SeenTour seen{tour, {readings_.begin(), readings_.end()}};
  seen.readings.insert(seen.readings.end(), watched.begin(), watched.end());
  return seen;
}

std::optional<SeenTour> ProbePast::before_mixing(const std::deque<Reading>& watched,
                                                 TimeUs onset_us) const {
  if (!one_probe_ || watched.empty()) return std::nullopt;
  const double onset_s = to_s(onset_us - first_us(watched));
  const auto tour = tour_before_mixing(cup_curve(watched, onset_us), onset_s);
  return tour ? std::optional(seen(watched, *tour)) : std::nullopt;
}

std::optional<SeenTour> ProbePast::with_mixing(const std::deque<Reading>& watched,
                                               TimeUs end_us) const {
  if (!one_probe_ || watched.empty()) return std::nullopt;
  const auto tour = tour_with_mixing(cup_curve(watched, end_us), least_after_s);
  return tour ? std::optional(seen(watched, *tour)) : std::nullopt;
}

bool ProbePast::was_visit(const std::deque<Reading>& watched, TimeUs onset_us,
                          TimeUs end_us) const {
  if (!one_probe_ || watched.empty()) return false;
  const TimeUs zero_us = first_us(watched);
  return went_back(cup_curve(watched, watched.back().time_us), to_s(onset_us - zero_us),
                   to_s(end_us - zero_us));
}

}  // namespace nestcup

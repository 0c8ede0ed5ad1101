#include "tools/watch/series.hpp"

#include <algorithm>
#include <cmath>

namespace nestcup::watch {

void Series::add(const std::vector<TimeUs>& time_us, const std::vector<double>& temperature_degC) {
  for (std::size_t i = 0; i < std::min(time_us.size(), temperature_degC.size()); ++i) {
    if (!time_us_.empty() && time_us[i] <= time_us_.back()) continue;
    time_us_.push_back(time_us[i]);
    degC_.push_back(temperature_degC[i]);
  }
}

void Series::drop_before(TimeUs time_us) {
  const auto count = static_cast<std::ptrdiff_t>(from(time_us));
  time_us_.erase(time_us_.begin(), time_us_.begin() + count);
  degC_.erase(degC_.begin(), degC_.begin() + count);
}

std::optional<TimeUs> Series::last_us() const {
  return time_us_.empty() ? std::nullopt : std::optional(time_us_.back());
}

std::size_t Series::from(TimeUs time_us) const {
  const auto found = std::lower_bound(time_us_.begin(), time_us_.end(), time_us);
  return static_cast<std::size_t>(found - time_us_.begin());
}

std::optional<double> Series::at(TimeUs time_us) const {
  const std::size_t behind = from(time_us);
  if (behind >= size()) return std::nullopt;
  if (time_us_[behind] == time_us) return degC_[behind];
  if (behind == 0 || time_us_[behind] - time_us_[behind - 1] > hole_us) return std::nullopt;
  const double part = static_cast<double>(time_us - time_us_[behind - 1]) /
                      static_cast<double>(time_us_[behind] - time_us_[behind - 1]);
  return std::lerp(degC_[behind - 1], degC_[behind], part);
}

std::vector<TimedReading> timed_readings(const Series& cup, TimeUs mixing_us, TimeUs now_us) {
  std::vector<TimedReading> found;
  for (double after_s = timed_every_s; after_s <= timed_until_s; after_s += timed_every_s) {
    const TimeUs at_us = mixing_us + to_us(after_s);
    if (at_us > now_us) break;
    if (const auto degC = cup.at(at_us)) found.push_back({after_s, *degC});
  }
  return found;
}

std::optional<double> next_timed_s(TimeUs mixing_us, TimeUs now_us) {
  const double since_s = to_s(now_us - mixing_us);
  const double after_s = (std::floor(since_s / timed_every_s) + 1.0) * timed_every_s;
  return after_s > timed_until_s ? std::nullopt : std::optional(after_s);
}

}  // namespace nestcup::watch

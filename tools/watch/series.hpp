// The readings of one probe that a terminal shows, in order of time.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "core/base/clock.hpp"

namespace nestcup::watch {

class Series {
 public:
  /// Puts readings behind the others; those that are not newer are left out.
  void add(const std::vector<TimeUs>& time_us, const std::vector<double>& temperature_degC);
  /// Lets go of what is older.
  void drop_before(TimeUs time_us);

  [[nodiscard]] std::size_t size() const { return time_us_.size(); }
  [[nodiscard]] TimeUs time_us(std::size_t place) const { return time_us_[place]; }
  [[nodiscard]] double temperature_degC(std::size_t place) const { return degC_[place]; }
  [[nodiscard]] std::optional<TimeUs> last_us() const;
  /// Place of the first reading at or behind that time; size() where there is none.
  [[nodiscard]] std::size_t from(TimeUs time_us) const;
  /// Between its neighbours, where they are near; nothing elsewhere.
  [[nodiscard]] std::optional<double> at(TimeUs time_us) const;

 private:
  std::vector<TimeUs> time_us_;
  std::vector<double> degC_;
};

/// So far apart, nothing is known between two readings.
inline constexpr TimeUs hole_us = 10 * us_per_s;

/// A timed reading, as it is taken by hand.
struct TimedReading {
  double after_s = 0.0;  ///< after the mixing
  double temperature_degC = 0.0;
};

inline constexpr double timed_every_s = 20.0;
inline constexpr double timed_until_s = 600.0;

/// Those that are past.
[[nodiscard]] std::vector<TimedReading> timed_readings(const Series& cup, TimeUs mixing_us,
                                                       TimeUs now_us);
/// When the next is due, s after the mixing; nothing after the last.
[[nodiscard]] std::optional<double> next_timed_s(TimeUs mixing_us, TimeUs now_us);

}  // namespace nestcup::watch

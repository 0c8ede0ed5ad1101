// Whether a probe is back on a line that it left: it was moved, or something passed by.
#pragma once

#include <deque>
#include <optional>

#include "core/analysis/mixing/mixing_detector.hpp"
#include "core/analysis/readings/point.hpp"

namespace nestcup {

/// Whether the last readings lie on the line again, which they had clearly left. Where the line is
/// too uncertain by now to tell, they are not.
/// @param since_onset  the cup's readings from the onset on, in seconds from `onset_us`
[[nodiscard]] bool came_back(const WatchedLine& line, TimeUs onset_us, CurveView since_onset);

/// The newest line on which the probe stood while a candidate was followed: a departure from there
/// may end the candidate before anybody has judged it.
class LastStay {
 public:
  /// @param newest  the cup's readings of the last half minute, in seconds from `origin_us`
  void see(TimeUs origin_us, CurveView newest, const Noise& noise);
  void forget() { stay_.reset(); }
  /// The line, where the readings seen last were no longer on it.
  [[nodiscard]] std::optional<WatchedLine> left() const;

 private:
  std::optional<WatchedLine> stay_;
  bool on_it_ = false;
};

/// Lines that the cup's probe left of late. What leads back to one of them is no mixing: the probe
/// comes back from another vessel, or out of the air.
class FormerLines {
 public:
  void left(const WatchedLine& line, TimeUs time_us);

  /// Whether readings that have settled lie on one of the lines.
  /// @param settled      the cup's readings behind the rise, in seconds from `from_us`
  /// @param before_degC  the level that the rise began at
  [[nodiscard]] bool lead_back(TimeUs from_us, CurveView settled, double before_degC) const;

 private:
  struct Left {
    WatchedLine line;
    TimeUs time_us = 0;
  };
  std::deque<Left> lines_;  ///< few, the newest last
};

}  // namespace nestcup

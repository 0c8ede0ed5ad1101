// Streaming detector: sees, reading by reading, that the cup leaves its foreperiod's line.
//
// Memory and cost per reading are bounded: a window of the last few minutes, thinned for the fit.
// The answer to a reading depends on that window alone, so that the readings of a run, fed again
// from the start of its foreperiod, are judged as they were the first time.
#pragma once

#include <deque>
#include <optional>

#include "core/analysis/line_fit.hpp"
#include "core/analysis/noise.hpp"
#include "core/analysis/point.hpp"
#include "core/base/clock.hpp"

namespace nestcup {

/// Where a watched line lies and how far a reading may be from it.
struct WatchedLine {
  TimeUs origin_us = 0;  ///< the fit's times are seconds from here
  LineFit fit;
  Noise noise;

  [[nodiscard]] double distance_K(TimeUs time_us, double temperature_degC) const;
  /// Distance that scatter, drift and the fit's own uncertainty explain, K.
  [[nodiscard]] double explained_K(TimeUs time_us) const;
};

class MixingDetector {
 public:
  enum class State { watching, suspected, confirmed };

  /// Takes the next reading of the cup (times rise) and tells the state behind it. `confirmed` is
  /// final; a suspicion can fall back to `watching`.
  State feed(TimeUs time_us, double temperature_degC);

  [[nodiscard]] State state() const { return state_; }
  /// First reading that left the line; only while suspected or confirmed.
  [[nodiscard]] TimeUs onset_us() const { return onset_us_; }
  /// The line that was left; only while suspected or confirmed.
  [[nodiscard]] const WatchedLine& line() const { return line_; }
  /// Median spacing of the last readings, s.
  [[nodiscard]] double interval_s() const;

 private:
  struct Seen {
    TimeUs time_us;
    double temperature_degC;
  };

  void drop_old(TimeUs now_us);
  [[nodiscard]] std::optional<WatchedLine> line_until(double guard_s) const;
  [[nodiscard]] bool last_all_off(const WatchedLine& line) const;
  void look_for_onset();
  void follow_suspicion();
  void forget_suspicion();

  std::deque<Seen> window_;
  State state_ = State::watching;
  WatchedLine line_;
  TimeUs onset_us_ = 0;
};

}  // namespace nestcup

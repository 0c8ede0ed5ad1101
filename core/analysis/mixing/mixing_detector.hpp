// Streaming detector: sees, reading by reading, that the cup leaves its foreperiod's line.
//
// Memory and cost per reading are bounded: a window of the last few minutes, thinned for the fit.
// The answer to a reading depends on that window alone, so that the readings of a run, fed again
// from the start of its foreperiod, are judged as they were the first time.
#pragma once

#include <deque>
#include <optional>

#include "core/analysis/mixing/watched_line.hpp"
#include "core/base/clock.hpp"

namespace nestcup {

/// Rises are looked for from the larger of these on, of either sign: K, and scatters of single
/// readings. METHOD.md, section 15, has how often smaller ones are missed.
inline constexpr double noticed_rise_K = 0.15;
inline constexpr double noticed_rise_scatters = 8.0;

class MixingDetector {
 public:
  enum class State { watching, suspected, confirmed };
  /// What is looked for: a clear departure from a line, or also steps that only the readings on
  /// both sides tell from chance (they can be the bend of a release that dies out).
  enum class Looks {
    for_departures,
    for_steps,
  };

  explicit MixingDetector(Looks looks = Looks::for_steps) : looks_(looks) {}

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
  /// How far the window's readings are alike, asked of `readings` if not known for a few seconds.
  [[nodiscard]] const Alikeness& alikeness(CurveView readings);
  [[nodiscard]] std::optional<WatchedLine> line_through(CurveView base, CurveView whole);
  [[nodiscard]] std::optional<WatchedLine> line_until(double guard_s);
  /// Place in the window of the first of the readings that are judged together: the last seconds.
  [[nodiscard]] std::size_t first_of_last() const;
  [[nodiscard]] bool is_copy(TimeUs time_us) const;
  /// First of the last readings that is off the line, where they are; nothing where they are not.
  [[nodiscard]] std::optional<TimeUs> off_since(const WatchedLine& line) const;
  [[nodiscard]] double last_distance_K() const;
  void look_for_onset();
  void follow_suspicion();
  void tighten_onset();
  void forget_suspicion();
  void look_for_step();

  Looks looks_;
  std::deque<Seen> window_;
  State state_ = State::watching;
  WatchedLine line_;
  TimeUs onset_us_ = 0;
  double farthest_K_ = 0.0;  ///< from the line, while suspected
  std::optional<TimeUs> scanned_us_;
  std::optional<Alikeness> alikeness_;
  TimeUs alikeness_us_ = 0;
};

}  // namespace nestcup

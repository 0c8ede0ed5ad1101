// The life of a run, reading by reading: watching, suspected, running, finished.
//
// The daemon feeds readings as they come, replay feeds them from a file; both get the same runs. No
// clock of its own: time is what the readings say.
#pragma once

#include <deque>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/analysis/mixing/mixing_detector.hpp"
#include "core/analysis/mixing/probe_past.hpp"
#include "core/analysis/mixing/return_to_line.hpp"
#include "core/analysis/readings/settling.hpp"
#include "core/analysis/run/found_by.hpp"
#include "core/analysis/run/run_analysis.hpp"
#include "core/base/reading.hpp"

namespace nestcup {

enum class RunState { watching, suspected, running };

[[nodiscard]] std::string_view run_state_name(RunState state);

/// Where the cup's probe was out of the cup for a while: from its first reading off the cup's line
/// until it was as warm as the cup again.
struct Excursion {
  TimeUs left_us = 0, back_us = 0;
};

/// The readings of a finished run, ready to be analysed.
struct FinishedRun {
  std::vector<Reading> readings;  ///< of all probes, by time
  TimeUs onset_us = 0;            ///< first reading that left the foreperiod
  std::optional<TimeUs> mark_us;  ///< the operator's mark within the run
  FoundBy marked_by = FoundBy::mark;
  double after_period_s = 180.0;
  bool cut_by_next = false;
  bool heater = false;  ///< the trial declared a heater
  /// Where one probe serves both vessels: its stations, s from the run's first reading.
  std::optional<ProbeTour> tour;
  std::optional<Excursion> away;  ///< in the foreperiod, where the probe came back to its line
};

/// All that the probes read, each reading as it came, by role and on the run's axis (0 at the run's
/// first reading).
[[nodiscard]] RunInput all_readings(const FinishedRun& run, const std::vector<ProbeRole>& roles);

/// The same, of which those readings are left that count (`counted_readings`): what is analysed.
[[nodiscard]] RunInput run_input(const FinishedRun& run, const std::vector<ProbeRole>& roles);

class RunFollower {
 public:
  struct Settings {
    double after_period_s = 180.0;
    bool heater = false;  ///< the trial declares a heater: slow heating is a run
  };

  RunFollower(Settings settings, std::vector<ProbeRole> roles);

  /// Before the first reading: a finished run lies behind it, and what the cup holds was mixed.
  void begin_behind_run();
  /// Takes the next reading; times of one probe rise strictly, times of all do not fall.
  void feed(const Reading& reading);
  /// The operator says that the pour begins (began) at this time.
  void mark(TimeUs time_us, FoundBy marked_by = FoundBy::mark);
  /// The operator wants the run finished with what is there.
  /// @return false where no run is under way
  bool finish();
  /// From here on a trial declares a heater, or none does. Not while a run is under way.
  void expect_heater(bool heater) { settings_.heater = heater; }
  /// No more readings will come: finishes a run under way.
  void end_of_data();

  /// The next finished run, in order; nothing where none waits.
  [[nodiscard]] std::optional<FinishedRun> take_finished();

  [[nodiscard]] RunState state() const;
  /// First reading that left the foreperiod; nothing while watching.
  [[nodiscard]] std::optional<TimeUs> onset_us() const;
  /// Where the after period began, as far as it is known yet.
  [[nodiscard]] std::optional<TimeUs> settled_us() const { return settled_us_; }
  /// Why the last onset was withdrawn; empty where none was.
  [[nodiscard]] const std::string& last_withdrawal() const { return last_withdrawal_; }

 private:
  void take_waiting();
  void feed_cup(TimeUs time_us, double temperature_degC);
  void start_running(TimeUs onset_us, bool forced);
  void step_running(TimeUs time_us, double temperature_degC);
  void check_progress(TimeUs time_us);
  [[nodiscard]] bool drifted_before_next() const;
  void cut_running();
  void finish_running(TimeUs end_us, bool cut_by_next, bool asked);
  /// Judges what is under way when no more readings come.
  void end_candidate();
  void withdraw(std::string reason, std::optional<TimeUs> restart_us);
  /// The same where what is watched next lies behind a move of the probe.
  void withdraw_move(std::string reason, TimeUs restart_us);
  /// @param believed  whatever its rise is
  void emit(TimeUs end_us, bool cut_by_next, bool believed);
  /// Takes the run out where the probe's way shows a mixing.
  /// @param is_mixing  whether what the probe saw last can be one
  [[nodiscard]] bool emit_tour(TimeUs end_us, bool cut_by_next, bool is_mixing);
  void take_readings(FinishedRun& run, std::vector<Reading> readings, TimeUs end_us) const;
  [[nodiscard]] bool rise_shows(const FinishedRun& run) const;
  void hand_out(FinishedRun run, TimeUs end_us, TimeUs restart_us);
  [[nodiscard]] TimeUs rest_us(TimeUs end_us, bool cut_by_next) const;
  [[nodiscard]] TimeUs away_since_us() const;
  [[nodiscard]] TimeUs back_since_us() const;
  [[nodiscard]] double off_line_K() const;
  void resume_line();
  /// Where the probe was last away in what is watched before the onset.
  [[nodiscard]] std::optional<Excursion> excursion() const;
  /// What a candidate is judged by, in seconds from the first reading watched.
  [[nodiscard]] Curve judged_curve(TimeUs end_us) const;
  void stop_running();
  void restart_watching(TimeUs from_us);
  void drop_before(TimeUs time_us);
  /// The same of readings that have become old.
  void let_go_before(TimeUs time_us);
  [[nodiscard]] Curve cup_curve(TimeUs from_us, TimeUs to_us) const;
  void watch_next();
  void remember_line();
  void remember_stay();
  [[nodiscard]] bool leads_back(TimeUs end_us) const;
  /// Whether the cup is back on the line it left.
  [[nodiscard]] bool is_back(TimeUs time_us) const;
  [[nodiscard]] Noise run_noise(const Curve& since_onset) const;
  [[nodiscard]] std::optional<FormerCourse> former_course() const;

  Settings settings_;
  std::vector<ProbeRole> roles_;
  std::deque<Reading> buffer_;  ///< at most ten minutes of foreperiod and the run
  ProbePast past_;              ///< what lies before the buffer
  MixingDetector detector_;
  bool running_ = false;
  bool forced_ = false;  ///< by a mark, without an onset in the trace
  TimeUs onset_us_ = 0;
  std::optional<TimeUs> moved_us_;  ///< since the probe's last move there is something to watch
  std::optional<Excursion> away_;   ///< the excursion from which the probe came back last
  std::optional<TimeUs> settled_us_;
  std::optional<MixingDetector> next_;  ///< watches the after period for another onset
  TimeUs next_from_us_ = 0;             ///< first reading it was given
  std::optional<TimeUs> cut_us_;        ///< when the other onset was found
  std::optional<TimeUs> mark_us_;
  FoundBy marked_by_ = FoundBy::mark;
  std::optional<TimeUs> last_cup_us_;
  double last_cup_degC_ = 0.0;
  std::optional<Reading> waiting_;  ///< the cup's newest, not yet judged
  std::int64_t checked_ = -1;       ///< progress is looked at once in two seconds
  FormerLines former_lines_;
  LastStay last_stay_;
  bool after_mixing_ = false;  ///< what is watched is the after period of a finished run
  std::deque<FinishedRun> finished_;
  std::string last_withdrawal_;
};

}  // namespace nestcup

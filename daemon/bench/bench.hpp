// The bench: ports and probes on the io_context's thread, the life of its runs on the watch's.
#pragma once

#include <atomic>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/thread_pool.hpp>
#include <cstdint>
#include <functional>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/sheet/sheet_file.hpp"
#include "daemon/base/log.hpp"
#include "daemon/bench/calibrations.hpp"
#include "daemon/bench/drift_watch.hpp"
#include "daemon/bench/probe_watch.hpp"
#include "daemon/bench/provisional.hpp"
#include "daemon/bench/reading_rate.hpp"
#include "daemon/bench/run_watch.hpp"
#include "daemon/bench/sampler.hpp"
#include "daemon/bench/sleep_watch.hpp"
#include "daemon/bench/trial_book.hpp"
#include "daemon/store/recorder.hpp"
#include "daemon/store/store_past.hpp"
#include "drivers/probe_port.hpp"

namespace nestcup::daemon {

/// The newest run that this daemon finished.
struct LastRun {
  std::string id;
  int number = 0;
  double stored_after_ms = 0.0;  ///< machine time from the run's end to its stored record
};

/// Who is told what goes on, on the io_context's thread.
struct BenchListener {
  std::function<void(std::size_t probe, TimeUs time_us, double temperature_degC)> on_reading =
      [](std::size_t, TimeUs, double) {};
  std::function<void(const StoredEvent&)> on_event = [](const StoredEvent&) {};
  std::function<void()> on_change = [] {};  ///< the status is another one
};

/// A probe's state on the bench.
struct ProbeState {
  drivers::ProbeCounts counts;
  ProbeHealth health = ProbeHealth::starting;
  bool stale = true;  ///< its newest reading is too old to be the temperature now
  Drift drift;
  ReadingRate rate;
};

class Bench {
 public:
  struct Parts {
    boost::asio::io_context& context;
    const Clock& clock;
    Recorder& recorder;
    BenchFile file;
    std::optional<Sheet> sheet;  ///< in use at the start
    Log log;
    std::vector<StoredCalibration> calibrations{};  ///< all rows of the store
    bool results_hidden = false;                    ///< at the start
    /// Called when a record was stored or revised, on the writer's thread.
    std::function<void()> record_stored = [] {};
  };

  /// @errors bad_configuration: settings of a port and its probes contradict each other
  [[nodiscard]] static Result<std::unique_ptr<Bench>> make(Parts parts);
  Bench(const Bench&) = delete;
  Bench& operator=(const Bench&) = delete;

  /// Feeds what was stored before a stop or crash, so that a run under way goes on.
  void resume(Past past);
  void start();
  void tell(BenchListener listener) { listener_ = std::move(listener); }
  /// Closes the ports and waits for what is under way; their records are with the recorder then.
  void stop();

  /// The pour begins now (or began at `time_us`).
  void mark(TimeUs time_us, const std::string& who, FoundBy how = FoundBy::mark);
  /// Finishes the run under way with what is there; `done` is called on the watch's thread.
  /// @errors try_later: no run is under way
  void finish(const std::string& who, std::function<void(const Result<void>&)> done);

  /// Adds what was found out about a probe; corrections hold at once, and runs are followed anew
  /// from there. `done` is called with the rows as stored, or with the error, on any thread.
  /// @param drop_run  a run under way is but the probe on its way between the points: it is dropped
  ///                  (its readings stay in the store)
  /// @errors try_later: a run is under way, in which a correction would put a step; else as
  ///         Store::add_calibration
  using Calibrated = std::function<void(const Result<std::vector<StoredCalibration>>&)>;
  void calibrate(std::vector<StoredCalibration> rows, bool drop_run, Calibrated done);
  [[nodiscard]] const Calibrations& calibrations() const { return calibrations_; }
  /// The last readings of a probe as it showed them, without correction.
  [[nodiscard]] const SeenReadings& seen(std::size_t probe) const { return seen_[probe]; }

  /// A record was stored or revised; on the writer's thread.
  void record_stored();
  /// How often that was so since the start; any thread.
  [[nodiscard]] std::uint64_t record_changes() const { return record_changes_; }

  /// The sheet in use and its trials.
  [[nodiscard]] TrialBook& trials() { return trials_; }
  /// Another sheet, or another text of it, holds from here on. On the writer's thread.
  /// @errors try_later: a run is under way, and one of the two has a trial with a heater
  [[nodiscard]] Result<void> use_sheet(Sheet sheet, const Store& store);

  /// Whether what comes out is kept from those who do not sit at the machine. Any thread.
  [[nodiscard]] bool results_hidden() const { return results_hidden_; }
  void hide_results(bool hidden) { results_hidden_ = hidden; }

  /// Puts down what happened, for the store. Any thread.
  void add_event(std::string kind, const nlohmann::json& detail);
  /// Any thread.
  [[nodiscard]] const Log& log() const { return parts_.log; }

  [[nodiscard]] const BenchFile& file() const { return parts_.file; }
  [[nodiscard]] const Clock& clock() const { return parts_.clock; }
  [[nodiscard]] Recorder& recorder() { return parts_.recorder; }
  [[nodiscard]] FollowedRun run() const { return watch_.now(); }
  [[nodiscard]] std::optional<Provisional> provisional() const { return provisional_.now(); }
  [[nodiscard]] std::vector<drivers::PortHealth> ports() const;
  [[nodiscard]] std::vector<ProbeState> probes() const;
  [[nodiscard]] SamplerStatus sampler() const { return sampler_.status(); }
  [[nodiscard]] const std::optional<LastRun>& last_run() const { return last_run_; }
  [[nodiscard]] int clock_steps() const { return clock_steps_; }

 private:
  explicit Bench(Parts parts);
  Result<void> open_ports();
  [[nodiscard]] RunFollower fresh_follower() const;
  Result<void> hold(std::vector<StoredCalibration>& rows, bool drop_run);
  void on_reading(std::size_t probe, TimeUs time_us, double shown_degC, double raw);
  void on_port_change(const drivers::PortChange& change);
  void on_state(const FollowedRun& run);
  void analyse(FinishedRun run);
  void tell_finished(const StoredRun& run, const std::string& said, double took_ms);
  [[nodiscard]] RecordContext context_of(const FinishedRun& run) const;
  void watch_clock();
  void watch_probes();
  /// Keeps an event and tells of it; any thread.
  void add_event_at(TimeUs time_us, std::string kind, const nlohmann::json& detail);
  /// The status changed; any thread.
  void tell_change();

  Parts parts_;
  BenchListener listener_;
  std::vector<ProbeRole> roles_;  ///< of the probes that take part in runs, which come first
  TrialBook trials_;
  RunWatch watch_;
  ProvisionalWatch provisional_;
  std::vector<std::unique_ptr<drivers::ProbePort>> ports_;
  std::vector<std::pair<std::size_t, std::size_t>> place_;  ///< probe -> port, index on it
  std::vector<DriftWatch> drifts_;
  Calibrations calibrations_;
  std::vector<SeenReadings> seen_;
  std::vector<ReadingRate> rates_;
  ProbeWatch probe_watch_;
  Sampler sampler_;
  boost::asio::steady_timer clock_timer_;
  SleepWatch sleeps_;
  boost::asio::thread_pool worker_{1};
  std::atomic<bool> results_hidden_ = false;
  std::atomic<TimeUs> wall_offset_us_ = 0;  ///< wall clock minus axis
  std::atomic<std::uint64_t> record_changes_ = 0;
  int clock_steps_ = 0;
  std::optional<LastRun> last_run_;
};

}  // namespace nestcup::daemon

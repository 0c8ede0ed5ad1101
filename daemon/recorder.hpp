// The recorder: the one thread that writes the store.
//
// Readings and events are committed in batches, at the latest when the pace has passed; jobs (run
// records, queries) run in between, each behind everything that was handed over before it. What
// cannot be written is held in memory up to a stated bound and tried again.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "core/store/store.hpp"
#include "daemon/log.hpp"

namespace nestcup::daemon {

/// So many readings are held while the store cannot be written: two hours of eight probes at ten
/// readings a second, about 20 MB.
inline constexpr std::size_t most_held_readings = 600'000;

/// The writer's thread goes on at least so often, also where there is nothing to write.
inline constexpr auto writer_moves_every = std::chrono::seconds(1);
/// A writer's thread that has not moved for so long hangs on its disk.
inline constexpr double longest_silence_s = 15.0;

struct RecorderStatus {
  std::uint64_t committed_readings = 0;
  std::uint64_t commits = 0;
  std::uint64_t failed_commits = 0;
  std::size_t held_readings = 0;
  std::uint64_t lost_readings = 0;  ///< beyond the bound, or at a stop that could not write
  std::string error;                ///< of the last attempt; empty where it went well
  std::int64_t log_pages = 0;       ///< in the write-ahead log at the last checkpoint
  double longest_commit_ms = 0.0;
  double commits_ms = 0.0;  ///< all commits together
  double silent_s = 0.0;    ///< since the writer's thread last moved
};

class Recorder {
 public:
  /// A job on the writer's thread. Failing with Fault::io it is tried again later, before anything
  /// that came after it; any other failure is the job's own to report.
  using Job = std::function<Result<void>(Store&)>;

  /// @param log  is told of trouble and of its end, once each; on the writer's thread
  Recorder(Store store, Log log);
  Recorder(const Recorder&) = delete;
  Recorder& operator=(const Recorder&) = delete;
  ~Recorder();

  void add(const Reading& reading);
  void add(StoredEvent event);
  void post(Job job);
  /// The longest that a reading waits before its commit begins (machine time).
  void set_pace(std::chrono::milliseconds pace);
  /// Commits everything and ends the thread; gives up on a store that cannot be written after
  /// `patience`.
  void stop(std::chrono::milliseconds patience);
  [[nodiscard]] RecorderStatus status() const;
  /// When the writer's thread last went on with anything: every second where all is well, also
  /// while a full disk takes nothing. A call of the system that does not return makes it stand.
  [[nodiscard]] std::chrono::steady_clock::time_point last_move() const;

 private:
  using Steady = std::chrono::steady_clock;
  struct Batch {
    std::vector<Reading> readings;
    std::vector<StoredEvent> events;
    [[nodiscard]] bool empty() const { return readings.empty() && events.empty(); }
  };
  /// Batches and jobs in the order in which they came.
  struct Entry {
    Batch batch;
    Job job;  ///< runs after the batch
  };

  void run();
  void wait_for_work(std::unique_lock<std::mutex>& lock);
  bool write(Entry& entry);
  void take_back(std::deque<Entry>& entries);
  void bound_memory();
  void checkpoint();
  void note_failure(const Error& error);
  void note_success();
  void move();
  Entry& open_entry();

  Store store_;
  Log log_;
  mutable std::mutex mutex_;
  std::condition_variable wake_;
  std::deque<Entry> entries_;
  Steady::time_point oldest_{};  ///< when the first waiting reading came
  Steady::time_point retry_at_{};
  Steady::time_point give_up_at_ = Steady::time_point::max();
  std::chrono::milliseconds pace_{2000};
  bool stopping_ = false;
  bool urgent_ = false;  ///< a job waits
  RecorderStatus status_;
  Steady::time_point checkpoint_at_{};
  std::atomic<Steady::rep> moved_;  ///< last_move()
  std::thread thread_;              ///< last: starts when all else is there
};

}  // namespace nestcup::daemon

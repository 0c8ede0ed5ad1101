// The recorder: the one thread that writes the store.
//
// Readings and events are committed in batches, at the latest when the pace has passed; jobs (run
// records, queries) run in between, each behind everything that was handed over before it. What
// cannot be written is held in memory up to a stated bound and tried again; so it is where there is
// no store yet, or none any more because it is damaged.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <thread>
#include <vector>

#include "core/store/damage.hpp"
#include "core/store/store.hpp"
#include "daemon/base/log.hpp"

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
  bool has_store = true;            ///< whether one is open
  std::int64_t log_pages = 0;       ///< in the write-ahead log at the last checkpoint
  double longest_commit_ms = 0.0;
  double commits_ms = 0.0;  ///< all commits together
  double silent_s = 0.0;    ///< since the writer's thread last moved
};

/// Whether the store itself failed: what was asked of it may go well later, or in another one.
[[nodiscard]] inline bool is_store_failure(const Error& error) {
  return error.kind == Fault::io || says_damaged(error);
}

/// Whether the failure says that the store is damaged. Some damage shows only as rows that
/// contradict each other; then the whole file is looked at.
[[nodiscard]] bool tells_of_damage(const Store& store, const Error& error);

class Recorder {
 public:
  /// A job on the writer's thread. Where it fails for a reason that is_store_failure() names it is
  /// tried again later, before anything that came after it; any other failure is the job's own to
  /// report.
  using Job = std::function<Result<void>(Store&)>;

  /// Opens the store that is written from then on, on the writer's thread. `damage` is the failure
  /// of the store that was open until then, empty where none was.
  using Opener = std::function<Result<Store>(const std::string& damage)>;

  /// @param log    is told of trouble and of its end, once each; on the writer's thread
  /// @param store  nothing where it could not be opened: `open` is asked again and again
  Recorder(std::optional<Store> store, Log log, Opener open = {});
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
  [[nodiscard]] bool has_open_store();
  void look_for_damage(const Error& error);
  void wait_for_work(std::unique_lock<std::mutex>& lock);
  bool write(Entry& entry);
  bool write(Batch& batch);
  bool commit(std::span<const Reading> readings, std::span<const StoredEvent> events);
  void take_back(std::deque<Entry>& entries);
  void bound_memory();
  void checkpoint();
  void note_failure(const Error& error);
  void note_success();
  void move();
  Entry& open_entry();

  std::optional<Store> store_;
  Log log_;
  Opener open_;
  std::string damage_;  ///< of the store that was open last
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

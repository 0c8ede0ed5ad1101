// Carries finished runs to the bench's notebooks by itself, on a thread of its own: a notebook that
// is slow or gone keeps no reading waiting. It reads the store through a connection of its own;
// what came of each attempt goes through the recorder, which alone writes.
#pragma once

#include <atomic>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <string>
#include <string_view>
#include <thread>
#include <vector>

#include "core/base/clock.hpp"
#include "core/sheet/bench_file.hpp"
#include "daemon/base/log.hpp"
#include "daemon/store/recorder.hpp"

namespace nestcup::daemon {

/// Now by the wall clock, whatever the speed of the bench's.
[[nodiscard]] TimeUs unix_now_us();

/// How a notebook stands.
struct NotebookState {
  std::string name;
  int waiting = 0;      ///< revisions owed, blocked ones not counted
  std::string failure;  ///< why the last pass ended early; empty where it did not
};

class Delivery {
 public:
  struct Parts {
    std::string store;
    std::vector<NotebookSettings> notebooks;
    Recorder& recorder;
    Log log;
  };

  /// Starts carrying at once.
  explicit Delivery(Parts parts);
  Delivery(const Delivery&) = delete;
  Delivery& operator=(const Delivery&) = delete;
  ~Delivery();

  /// More is owed, or is to be tried again now.
  void wake();
  /// Ends behind the file under way. Before the recorder's stop.
  void stop();
  [[nodiscard]] std::vector<NotebookState> states() const;

 private:
  class Notes;
  void run();
  /// A pass over all notebooks. @return how long to wait for the next, s
  double pass();
  double carry_to(std::size_t place);
  void set_waiting(std::size_t place, int waiting);
  void tell(std::size_t place, const std::string& failure, int carried);

  Parts parts_;
  mutable std::mutex mutex_;
  std::condition_variable changed_;
  bool owes_more_ = true;              ///< behind the mutex
  std::vector<NotebookState> states_;  ///< behind the mutex
  std::vector<int> failed_passes_;     ///< in a row, by notebook; of the thread alone
  std::atomic<bool> stopping_ = false;
  std::thread thread_;  ///< last: starts when all else is there
};

}  // namespace nestcup::daemon

// Looks through the whole file of the store, behind a start that did not wait for it.
#pragma once

#include <atomic>
#include <mutex>
#include <string>
#include <thread>

#include "daemon/base/log.hpp"

namespace nestcup::daemon {

enum class StoreCheckState {
  under_way,
  well,
  damaged,
  broken_off,  ///< the file could not be looked at to the end
};

[[nodiscard]] std::string_view store_check_name(StoreCheckState state);

/// On a thread of its own that gives way to all others, over a reading connection of its own: some
/// seconds for each GB. What it finds is told once to the log and stays in the status.
class StoreCheck {
 public:
  StoreCheck(std::string store, Log log);
  void start();
  StoreCheck(const StoreCheck&) = delete;
  StoreCheck& operator=(const StoreCheck&) = delete;
  ~StoreCheck();

  /// Any thread.
  [[nodiscard]] StoreCheckState state() const { return state_; }
  /// What is wrong, in SQLite's words, or why it was broken off; empty where all is well.
  [[nodiscard]] std::string problem() const;

 private:
  void run();
  void end(StoreCheckState state, std::string problem);

  std::string store_;
  Log log_;
  std::atomic<bool> stopping_ = false;
  std::atomic<StoreCheckState> state_ = StoreCheckState::under_way;
  mutable std::mutex mutex_;
  std::string problem_;
  std::thread thread_;
};

}  // namespace nestcup::daemon

// Follows the bench's runs on a thread of its own: to judge a candidate takes tens of milliseconds
// (far longer on a small machine), for which no port may wait.
#pragma once

#include <boost/asio/thread_pool.hpp>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "core/analysis/run/run_follower.hpp"

namespace nestcup::daemon {

/// Where the run under way stands.
struct FollowedRun {
  RunState state = RunState::watching;
  std::optional<TimeUs> onset_us;    ///< see RunFollower::onset_us
  std::optional<TimeUs> settled_us;  ///< see RunFollower::settled_us
  std::string last_withdrawal;
};

class RunWatch {
 public:
  /// Called on the watch's thread.
  struct Handlers {
    std::function<void(const FollowedRun&)> on_state;  ///< the state is another one now
    std::function<void(FinishedRun)> on_finished;
  };
  using Job = std::function<void(RunFollower&)>;

  RunWatch(RunFollower follower, Handlers handlers);
  /// Does `job` with the follower, after everything that was posted before it; then tells what came
  /// of it.
  void post(Job job);
  /// As after the last job that is done.
  [[nodiscard]] FollowedRun now() const;
  /// Waits until everything posted is done; nothing may be posted afterwards.
  void join() { thread_.join(); }

 private:
  void tell();

  RunFollower follower_;  ///< of the watch's thread alone
  Handlers handlers_;
  mutable std::mutex mutex_;
  FollowedRun now_;  ///< behind the mutex
  boost::asio::thread_pool thread_{1};
};

}  // namespace nestcup::daemon

// Asks the daemon over its control socket, again and again, on a thread of its own, so that the
// screen answers to keys whatever the daemon does.
#pragma once

#include <condition_variable>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <utility>

#include "core/base/result.hpp"
#include "tools/watch/snapshot.hpp"

namespace nestcup::watch {

/// So far back readings are kept.
inline constexpr double longest_span_min = 60.0;

class Feed {
 public:
  explicit Feed(std::string socket_path) : socket_path_(std::move(socket_path)) {}
  Feed(const Feed&) = delete;
  Feed& operator=(const Feed&) = delete;
  ~Feed() { stop(); }

  /// Asks for the first time, so that there is a snapshot.
  /// @errors as call
  [[nodiscard]] Result<void> begin();
  /// Goes on asking; where the daemon is gone, until it is there again.
  void start();
  /// Ends behind the question that is under way.
  void stop();
  /// What is known now; after begin.
  [[nodiscard]] std::shared_ptr<const Snapshot> now() const;

 private:
  void run();
  Result<void> ask(Snapshot& next) const;
  Result<void> ask_readings(Snapshot& next) const;

  const std::string socket_path_;
  mutable std::mutex mutex_;
  std::condition_variable ended_;
  std::shared_ptr<const Snapshot> latest_;  ///< behind the mutex
  bool stopping_ = false;                   ///< behind the mutex
  std::thread thread_;
};

}  // namespace nestcup::watch

// A limit in time for calls to a server that may go silent.
#pragma once

#include <chrono>
#include <condition_variable>
#include <functional>
#include <mutex>
#include <thread>

namespace nestcup {

/// Ends a call that takes too long by closing the way of its socket: libpq waits without end for a
/// server that took a statement and says nothing more, because its machine answers for it still.
class CallLimit {
 public:
  /// @param go_on  asked by another thread now and then while a call is watched; false ends it
  explicit CallLimit(std::function<bool()> go_on);
  CallLimit(const CallLimit&) = delete;
  CallLimit& operator=(const CallLimit&) = delete;
  ~CallLimit();

  /// From now on the socket has this much time, until end().
  void begin(int socket, std::chrono::milliseconds limit);
  /// @return whether it was ended before
  bool end();

 private:
  void watch();
  void end_call();

  std::function<bool()> go_on_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::chrono::steady_clock::time_point until_{};
  int socket_ = -1;  ///< below 0: nothing to watch
  bool expired_ = false;
  bool stopping_ = false;
  std::thread thread_;
};

}  // namespace nestcup

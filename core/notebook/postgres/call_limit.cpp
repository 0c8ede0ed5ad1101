#include "core/notebook/postgres/call_limit.hpp"

#include <sys/socket.h>

namespace nestcup {

CallLimit::CallLimit() : thread_([this] { watch(); }) {}

CallLimit::~CallLimit() {
  {
    const std::lock_guard lock(mutex_);
    stopping_ = true;
  }
  changed_.notify_one();
  thread_.join();
}

void CallLimit::begin(int socket, std::chrono::milliseconds limit) {
  {
    const std::lock_guard lock(mutex_);
    until_ = std::chrono::steady_clock::now() + limit;
    socket_ = socket;
    expired_ = false;
  }
  changed_.notify_one();
}

bool CallLimit::end() {
  const std::lock_guard lock(mutex_);
  socket_ = -1;
  return expired_;
}

void CallLimit::watch() {
  std::unique_lock lock(mutex_);
  while (!stopping_) {
    if (socket_ < 0) {
      changed_.wait(lock);
    } else if (changed_.wait_until(lock, until_) == std::cv_status::timeout && socket_ >= 0 &&
               std::chrono::steady_clock::now() >= until_) {
      ::shutdown(socket_, SHUT_RDWR);
      expired_ = true;
      socket_ = -1;
    }
  }
}

}  // namespace nestcup

#include "core/notebook/postgres/call_limit.hpp"

#include <sys/socket.h>

#include <algorithm>
#include <utility>

namespace nestcup {
namespace {

constexpr std::chrono::milliseconds look_every{100};

}  // namespace

CallLimit::CallLimit(std::function<bool()> go_on)
    : go_on_(std::move(go_on)), thread_([this] { watch(); }) {}

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
      continue;
    }
    const auto now = std::chrono::steady_clock::now();
    changed_.wait_until(lock, std::min(until_, now + look_every));
    const bool is_over = std::chrono::steady_clock::now() >= until_ || !go_on_();
    if (socket_ >= 0 && is_over) end_call();
  }
}

void CallLimit::end_call() {
  ::shutdown(socket_, SHUT_RDWR);
  expired_ = true;
  socket_ = -1;
}

}  // namespace nestcup

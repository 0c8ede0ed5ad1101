#include "daemon/bench/run_watch.hpp"

#include <boost/asio/post.hpp>
#include <utility>

namespace nestcup::daemon {

RunWatch::RunWatch(RunFollower follower, Handlers handlers)
    : follower_(std::move(follower)), handlers_(std::move(handlers)) {}

void RunWatch::post(Job job) {
  boost::asio::post(thread_, [this, job = std::move(job)] {
    job(follower_);
    tell();
  });
}

FollowedRun RunWatch::now() const {
  const std::lock_guard lock(mutex_);
  return now_;
}

void RunWatch::tell() {
  FollowedRun now{follower_.state(), follower_.onset_us(), follower_.settled_us(),
                  follower_.last_withdrawal()};
  const bool changed = [&] {
    const std::lock_guard lock(mutex_);
    const bool other = now.state != now_.state;
    now_ = now;
    return other;
  }();
  if (changed) handlers_.on_state(now);
  while (auto run = follower_.take_finished()) handlers_.on_finished(std::move(*run));
}

}  // namespace nestcup::daemon

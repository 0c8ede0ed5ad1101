#include "daemon/live/backlog.hpp"

#include <utility>

namespace nestcup::daemon {

void Backlog::readings(StreamText text) {
  if (behind_) return;  // the newest ones are sent, whichever they will be
  if (readings_.size() < most_readings) return readings_.push_back(std::move(text));
  readings_.clear();
  behind_ = true;
}

void Backlog::state(StreamText text) {
  state_ = std::move(text);
}

void Backlog::event(StreamText text) {
  if (events_.size() >= most_events) {
    overrun_ = true;
    return;
  }
  events_.push_back(std::move(text));
}

bool Backlog::has_next() const {
  return behind_ || !readings_.empty() || !events_.empty() || state_;
}

StreamText Backlog::next(const StreamText& newest) {
  if (behind_) {
    behind_ = false;
    return newest;
  }
  for (auto* queue : {&readings_, &events_}) {
    if (queue->empty()) continue;
    StreamText text = std::move(queue->front());
    queue->pop_front();
    return text;
  }
  return std::exchange(state_, nullptr);
}

}  // namespace nestcup::daemon

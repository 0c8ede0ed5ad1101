#include "sim/player.hpp"

#include <utility>

namespace nestcup::sim {

namespace {

/// A listener gets this long to take the last bytes: a hang-up throws away what is not yet read.
constexpr std::chrono::milliseconds last_words{200};

}  // namespace

Player::Player(Capture capture, PlayerOptions options, const Clock& clock)
    : capture_(std::move(capture)), options_(std::move(options)), clock_(clock) {}

Result<void> Player::run(int stop_fd) {
  Result<Pty> pty = Pty::open();
  if (!pty) return pty.error();
  const Result<DeviceLink> link = DeviceLink::make(pty->other_end(), options_.link);
  if (!link) return link.error();
  for (;;) {
    play(*pty);
    if (play_ && play_->done() && !options_.keep_open) break;
    if (!wait_for_port(stop_fd, &*pty, open_, until_next())) return {};
  }
  wait_for_port(stop_fd, nullptr, false, last_words);
  return {};
}

void Player::play(const Pty& pty) {
  const bool was_open = std::exchange(open_, pty.in_use());
  if (was_open && !open_) pty.discard_unread();
  if (!play_ && (open_ || !options_.wait_open)) play_.emplace(capture_, clock_.now_us());
  if (!play_) return;
  const TimeUs now_us = clock_.now_us();
  if (open_) play_->hear(pty.read(), now_us);
  const std::string said = play_->due(now_us);
  if (open_) pty.write(said);
}

std::chrono::nanoseconds Player::until_next() const {
  if (!play_ || !play_->next_us()) return longest_port_wait;
  return clock_.real_duration(*play_->next_us() - clock_.now_us());
}

}  // namespace nestcup::sim

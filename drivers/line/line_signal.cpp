#include "drivers/line/line_signal.hpp"

#include <sys/ioctl.h>

#include <chrono>
#include <utility>

namespace nestcup::drivers {
namespace {

// Adapters answer from what they told last: looking costs no traffic.
constexpr auto look_every = std::chrono::milliseconds(10);

}  // namespace

std::optional<TimeUs> Debounce::take(bool on, TimeUs now_us) {
  if (!on) {
    if (!off_since_us_) off_since_us_ = now_us;
    on_since_us_.reset();
    if (now_us - *off_since_us_ >= to_us(rest_s)) ready_ = true;
    return std::nullopt;
  }
  if (!on_since_us_) on_since_us_ = now_us;
  // Off for a moment only: the same press goes on.
  off_since_us_.reset();
  if (!ready_ || now_us - *on_since_us_ < to_us(hold_s)) return std::nullopt;
  ready_ = false;
  return on_since_us_;
}

LineSignal::LineSignal(boost::asio::io_context& context, const Clock& clock, Look look,
                       std::function<void(TimeUs)> on_press)
    : clock_(clock), look_(std::move(look)), on_press_(std::move(on_press)), timer_(context) {}

void LineSignal::start() {
  alive_ = std::make_shared<int>(0);
  debounce_.reset();
  wait();
}

void LineSignal::stop() {
  alive_.reset();
  timer_.cancel();
}

void LineSignal::wait() {
  timer_.expires_after(look_every);
  timer_.async_wait(
      [this, alive = std::weak_ptr<int>(alive_)](const boost::system::error_code& cancelled) {
        if (cancelled || alive.expired()) return;
        const auto level = look_();
        if (!level) debounce_.reset();
        const auto press = level ? debounce_.take(*level, clock_.now_us()) : std::nullopt;
        wait();
        if (press) on_press_(*press);
      });
}

std::optional<bool> modem_line(int descriptor, MarkLine line) {
  int bits = 0;
  if (ioctl(descriptor, TIOCMGET, &bits) != 0) return std::nullopt;
  return (bits & (line == MarkLine::cts ? TIOCM_CTS : TIOCM_DSR)) != 0;
}

}  // namespace nestcup::drivers

#include "drivers/line/serial_line.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/error.hpp>
#include <boost/asio/post.hpp>
#include <cerrno>
#include <cstring>
#include <utility>

#include "drivers/line/read_watch.hpp"

namespace nestcup::drivers {
namespace {

namespace asio = boost::asio;
using boost::system::error_code;

// Waits before the next try, bench time; the last one stands for ever.
constexpr std::array<double, 6> backoff_s{0.2, 0.5, 1.0, 2.0, 5.0, 10.0};
// How often an absent device is looked for meanwhile; a stat(2) is cheap and resets nothing.
constexpr TimeUs look_every_us = 200'000;
constexpr std::chrono::milliseconds shortest_look{20};
// How long bytes may wait for others, bench time. It adds to what a run's readings wait for the
// store (daemon/bench/bench_runs.cpp).
constexpr TimeUs longest_wait_us = 80'000;

}  // namespace

// Wraps the work of a handler: it is done only while this object lives and its port has not been
// closed since. A timer that has already fired cannot be cancelled, hence the number.
template <class Work>
auto SerialLine::guarded(Work work) {
  return [watched = std::weak_ptr<const std::uint64_t>(generation_), number = *generation_, work](
             const error_code& fault, auto... more) {
    const auto current = watched.lock();
    if (!current || *current != number || fault == asio::error::operation_aborted) return;
    work(fault, more...);
  };
}

template <class Work>
void SerialLine::after(asio::steady_timer& timer, std::chrono::nanoseconds wait, Work work) {
  timer.expires_after(wait);
  timer.async_wait(guarded([work](const error_code&) { work(); }));
}

SerialLine::SerialLine(asio::io_context& context, const Clock& clock, PortSettings settings,
                       LineHandlers handlers, std::string sysfs)
    : clock_(clock),
      settings_(std::move(settings)),
      handlers_(std::move(handlers)),
      sysfs_(std::move(sysfs)),
      context_(context),
      step_timer_(context),
      silence_timer_(context) {}

SerialLine::~SerialLine() {
  close();
}

std::optional<int> SerialLine::descriptor() {
  if (!descriptor_) return std::nullopt;
  return descriptor_->get();
}

void SerialLine::start() {
  if (state_.state != LineState::closed) return;
  backoff_ = 0;
  try_open();
}

void SerialLine::stop() {
  Arrivals::of(context_).hand_over();
  close();
  if (state_.state != LineState::closed) change(LineState::closed, "stopped");
}

// What is at the path is not the adapter that was there before.
std::optional<std::string> SerialLine::stranger() {
  const auto found = adapter_behind(settings_.device, sysfs_);
  if (!found || !adapter_ || found->is_same_as(*adapter_)) return std::nullopt;
  return fmt::format(
      "{} is another adapter now ({}) than before ({}): plug the first one in again, or restart "
      "nestcupd where the change is meant",
      settings_.device, found->text(), adapter_->text());
}

void SerialLine::try_open() {
  const bool was_there = device_exists();
  if (const auto reason = stranger()) {
    wait_to_open(was_there);
    return change(LineState::waiting, *reason);
  }
  auto opening = SerialDescriptor::open(settings_.device, settings_.mode);
  if (opening) {
    watched_ = ReadWatch::of(context_).add(opening->get(), [this] { read_now(); });
    if (watched_ != 0) {
      descriptor_.emplace(std::move(opening).value());
      return opened();
    }
  }
  const int reason = errno;
  wait_to_open(was_there);
  change(LineState::waiting,
         opening ? fmt::format("cannot watch {}: {}", settings_.device, std::strerror(reason))
                 : opening.error().text);
}

// Telling a change comes last in each step, for the one who is told may stop the line.
void SerialLine::opened() {
  ++*generation_;
  ++counts_.opens;
  if (!adapter_) adapter_ = adapter_behind(settings_.device, sysfs_);
  pending_.clear();
  quiet_since_.reset();
  after(step_timer_, clock_.real_duration(to_us(settings_.settle_s)), [this] { settled(); });
  change(LineState::settling,
         fmt::format("{} is open, settling for {:g} s", settings_.device, settings_.settle_s));
}

void SerialLine::settled() {
  // Only an opening that lasted counts as a success for the waits between tries.
  backoff_ = 0;
  if (!settings_.is_polled()) quiet_since_ = clock_.now_us();
  watch_silence(to_us(settings_.silence_s));
  handlers_.on_start();
  change(LineState::open, settings_.device + " is open");
}

void SerialLine::read_now() {
  const std::span<char> room = std::span(buffer_).subspan(filled_);
  ssize_t got = 0;
  do {
    got = ::read(descriptor_->get(), room.data(), room.size());
  } while (got < 0 && errno == EINTR);
  const error_code fault(got < 0 ? errno : 0, boost::system::system_category());
  if (fault == asio::error::would_block) return;
  if (fault) return lose(fault.message());
  const auto size = static_cast<std::size_t>(got);
  if (size > 0) return on_read(size, size == room.size());
  if (is_hung_up(descriptor_->get())) return lose("unplugged, or the other end closed");
  ++counts_.spurious_eofs;  // a driver's whim; it tells again when there is something
}

void SerialLine::on_read(std::size_t size, bool is_full) {
  const TimeUs now_us = clock_.now_us();
  const std::span<const char> bytes = std::span(buffer_).subspan(filled_, size);
  if (handlers_.on_traffic) handlers_.on_traffic(Direction::from_device, bytes, now_us);
  ++counts_.reads;
  const std::uint64_t number = *generation_;
  if (state_.state == LineState::settling) {
    counts_.dropped_at_settle += size;
  } else {
    take(bytes, now_us);
  }
  if (number != *generation_ || !is_full) return;
  // There is more, of which nobody will tell again; other ports have their turn first.
  Arrivals::of(context_).hand_over();
  if (number != *generation_) return;
  asio::post(context_,
             [go_on = guarded([this](const error_code&) { read_now(); })] { go_on(error_code()); });
}

void SerialLine::take(std::span<const char> bytes, TimeUs now_us) {
  counts_.bytes += bytes.size();
  // A device that is asked owes nothing until the next request.
  quiet_since_.reset();
  if (!settings_.is_polled()) quiet_since_ = now_us;
  const std::uint64_t number = *generation_;
  if (state_.state == LineState::silent) change(LineState::open, settings_.device + " talks again");
  if (number != *generation_) return;
  Arrivals& arrivals = Arrivals::of(context_);
  if (ReadWatch::of(context_).was_held_up()) {
    arrivals.hand_over();
    if (number == *generation_ && handlers_.on_late_bytes) handlers_.on_late_bytes(bytes, now_us);
    return;
  }
  filled_ += bytes.size();
  const TimeUs wait_us = settings_.is_polled() ? 0 : longest_wait_us;
  arrivals.put(*this, bytes.size(), now_us, clock_.real_duration(wait_us));
}

void SerialLine::take_arrival(std::size_t size, TimeUs stamp_us) {
  const std::span<const char> bytes = std::span(buffer_).subspan(taken_, size);
  taken_ += size;
  if (taken_ == filled_) taken_ = filled_ = 0;
  handlers_.on_bytes(bytes, stamp_us);
}

void SerialLine::lose(const std::string& reason) {
  // What came before belongs before the change, and may lead to a stop.
  const std::uint64_t number = *generation_;
  Arrivals::of(context_).hand_over();
  if (number != *generation_) return;
  // Closed at once: as long as it stays open the device comes back under another number.
  close();
  wait_to_open(device_exists());
  change(LineState::waiting, fmt::format("{}: {}", settings_.device, reason));
}

void SerialLine::close() {
  ++*generation_;
  Arrivals::of(context_).forget(*this);
  taken_ = filled_ = 0;
  step_timer_.cancel();
  silence_timer_.cancel();
  if (!descriptor_) return;
  ReadWatch::of(context_).remove(watched_, descriptor_->get());
  descriptor_.reset();
}

void SerialLine::wait_to_open(bool was_there) {
  const TimeUs wait_us = to_us(backoff_s[std::min(backoff_, backoff_s.size() - 1)]);
  ++backoff_;
  look_for_device(clock_.now_us() + wait_us, was_there);
}

void SerialLine::look_for_device(TimeUs until_us, bool was_there) {
  const TimeUs left_us = std::max<TimeUs>(until_us - clock_.now_us(), 0);
  const auto look =
      std::max<std::chrono::nanoseconds>(clock_.real_duration(look_every_us), shortest_look);
  after(step_timer_, std::min(clock_.real_duration(left_us), look), [this, until_us, was_there] {
    const bool is_there = device_exists();
    const bool came = is_there && !was_there;
    if (came || clock_.now_us() >= until_us) {
      if (came) backoff_ = 0;
      return try_open();
    }
    look_for_device(until_us, is_there);
  });
}

void SerialLine::watch_silence(TimeUs wait_us) {
  after(silence_timer_, clock_.real_duration(wait_us), [this] {
    const TimeUs limit_us = to_us(settings_.silence_s);
    const TimeUs quiet_us = quiet_since_ ? clock_.now_us() - *quiet_since_ : 0;
    watch_silence(quiet_us >= limit_us ? limit_us : limit_us - quiet_us);
    if (quiet_us >= limit_us && state_.state == LineState::open) {
      change(LineState::silent, fmt::format("{}: nothing for {:g} s; check the cable and `baud`",
                                            settings_.device, settings_.silence_s));
    }
  });
}

bool SerialLine::write(std::string_view bytes) {
  if (state_.state != LineState::open && state_.state != LineState::silent) return false;
  bool sent = send_pending();
  if (sent) {
    pending_ = bytes;
    sent = send_pending() || pending_.size() < bytes.size();
    if (!sent) pending_.clear();
  }
  if (!sent) {
    ++counts_.refused_writes;
    return false;
  }
  if (!quiet_since_) quiet_since_ = clock_.now_us();
  return true;
}

bool SerialLine::send_pending() {
  while (!pending_.empty()) {
    const ssize_t sent = ::write(descriptor_->get(), pending_.data(), pending_.size());
    if (sent < 0 && errno == EINTR) continue;
    // A port that is gone shows in the read under way.
    if (sent <= 0) return false;
    const auto size = static_cast<std::size_t>(sent);
    if (handlers_.on_traffic) {
      handlers_.on_traffic(Direction::to_device, std::span(pending_).first(size), clock_.now_us());
    }
    pending_.erase(0, size);
  }
  return true;
}

void SerialLine::change(LineState state, std::string reason) {
  if (state == state_.state && reason == state_.reason) return;
  state_ = {state, std::move(reason), clock_.now_us()};
  handlers_.on_change(state_);
}

bool SerialLine::device_exists() const {
  return ::access(settings_.device.c_str(), F_OK) == 0;
}

}  // namespace nestcup::drivers

#include "sim/board.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "sim/simulate.hpp"

namespace nestcup::sim {

namespace {

/// The stream of random numbers for the rubbish at a reset, behind those of probes and faults.
constexpr std::uint64_t junk_stream = 1001;

}  // namespace

Board::Board(const Scenario& scenario, BoardOptions options, const Clock& clock)
    : scenario_(scenario),
      options_(std::move(options)),
      clock_(clock),
      bench_(scenario, options_.seed),
      electronics_(scenario),
      faults_(scenario.faults, scenario.board.protocol, options_.seed),
      firmware_(make_firmware(scenario)),
      junk_(options_.seed, junk_stream) {}

double Board::now_s() const {
  return start_us_ ? to_s(clock_.now_us() - *start_us_) : 0.0;
}

Result<void> Board::start() {
  start_us_ = clock_.now_us();
  return options_.on_start ? options_.on_start(clock_.wall_us()) : Result<void>{};
}

Result<void> Board::plug_in() {
  Result<Pty> pty = Pty::open();
  if (!pty) return pty.error();
  Result<DeviceLink> link = DeviceLink::make(pty->other_end(), options_.link);
  if (!link) return link.error();
  pty_.emplace(std::move(pty).value());
  link_.emplace(std::move(link).value());
  return {};
}

void Board::unplug() {
  link_.reset();
  pty_.reset();
  open_ = false;
  boot_end_s_.reset();
  on_the_way_.clear();
}

Result<void> Board::run(int stop_fd) {
  if (!options_.wait_open) {
    if (auto started = start(); !started) return started;
  }
  for (;;) {
    const double now = now_s();
    if (start_us_ && now > scenario_.duration_s && !options_.keep_open) break;
    const bool plugged_in = faults_.plugged_in(now);
    if (!plugged_in && pty_) unplug();
    if (plugged_in && !pty_) {
      if (auto plugged = plug_in(); !plugged) return plugged;
    }
    watch_port(now);
    if (open_ && !start_us_) {
      if (auto started = start(); !started) return started;
    }
    finish_boot(now);
    if (start_us_) convert_until(now);
    deliver(now);
    if (!wait(stop_fd, now)) break;
  }
  unplug();
  return {};
}

void Board::watch_port(double now_s) {
  if (!pty_) return;
  const bool was_open = std::exchange(open_, pty_->in_use());
  if (!open_) {
    if (was_open) pty_->discard_unread();
    on_the_way_.clear();
    boot_end_s_.reset();
    return;
  }
  if (!was_open && scenario_.board.reset_on_open) {
    std::string rubbish;
    for (int i = 0; i < scenario_.board.boot_junk; ++i) {
      rubbish += static_cast<char>(junk_.below(256));
    }
    pty_->write(rubbish);
    boot_end_s_ = now_s + scenario_.board.boot_s;
  }
  listen(now_s);
}

void Board::listen(double now_s) {
  const std::string bytes = pty_->read();
  if (bytes.empty()) return;
  // An adapter's echo does not wait for the device.
  if (scenario_.board.echo) pty_->write(bytes);
  if (!scenario_.board.polled || boot_end_s_) return;
  for (const Answer& answer : firmware_->hear(bytes, [&] { return measure(now_s); })) {
    send(answer.bytes, now_s + scenario_.board.answer_delay_s, answer.question);
  }
}

void Board::finish_boot(double now_s) {
  if (!boot_end_s_ || now_s < *boot_end_s_) return;
  up_since_s_ = *boot_end_s_;
  next_comment_s_ = up_since_s_ + scenario_.board.comment_every_s;
  boot_end_s_.reset();
  put_on_the_way({up_since_s_, firmware_->greeting()});
}

void Board::convert_until(double now_s) {
  if (scenario_.board.polled) return;
  for (;;) {
    const double at_s = reading_time_s(scenario_, next_reading_);
    if (at_s > now_s) return;
    ++next_reading_;
    // Read even when nobody listens, so that the readings do not depend on who listens when.
    send_unasked(measure(at_s));
  }
}

Report Board::measure(double at_s) {
  bench_.advance_to(at_s);
  return {electronics_.measure(bench_.read(), bench_), at_s, std::max(0.0, at_s - up_since_s_)};
}

void Board::send_unasked(const Report& report) {
  const double at_s = report.at_s;
  // Looked at late, the end of the boot may lie behind readings that fall into it.
  if (!open_ || boot_end_s_ || at_s < up_since_s_) return;
  if (scenario_.board.comment_every_s > 0.0 && at_s >= next_comment_s_) {
    put_on_the_way({at_s, firmware_->remark(at_s - up_since_s_)});
    next_comment_s_ += scenario_.board.comment_every_s;
  }
  send(firmware_->report(report), at_s, {});
}

void Board::send(const std::string& frame, double at_s, const std::string& question) {
  for (Delivery& delivery : faults_.pass(frame, at_s, question)) {
    put_on_the_way(std::move(delivery));
  }
}

void Board::put_on_the_way(Delivery delivery) {
  // Behind all that is due no later, so that what is due at the same time keeps its order.
  const auto place =
      std::upper_bound(on_the_way_.begin(), on_the_way_.end(), delivery.due_s,
                       [](double due_s, const Delivery& other) { return due_s < other.due_s; });
  on_the_way_.insert(place, std::move(delivery));
}

void Board::deliver(double now_s) {
  while (!on_the_way_.empty() && on_the_way_.front().due_s <= now_s) {
    if (open_) pty_->write(on_the_way_.front().bytes);
    on_the_way_.pop_front();
  }
}

double Board::next_deed_s(double now_s) const {
  double next = faults_.next_change_s(now_s);
  if (!options_.keep_open) next = std::min(next, std::nextafter(scenario_.duration_s, 1e300));
  if (!scenario_.board.polled) next = std::min(next, reading_time_s(scenario_, next_reading_));
  if (boot_end_s_) next = std::min(next, *boot_end_s_);
  if (!on_the_way_.empty()) next = std::min(next, on_the_way_.front().due_s);
  return next;
}

bool Board::wait(int stop_fd, double now_s) const {
  std::chrono::nanoseconds span = longest_port_wait;
  const double ahead_s = next_deed_s(now_s) - now_s;
  if (start_us_ && ahead_s < 1e6) span = clock_.real_duration(to_us(ahead_s));
  return wait_for_port(stop_fd, pty_ ? &*pty_ : nullptr, open_, span);
}

}  // namespace nestcup::sim

#include "daemon/store/housekeeping.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/asio/post.hpp>
#include <chrono>
#include <cmath>

namespace nestcup::daemon {
namespace {

/// A transaction of some milliseconds, shorter than what it takes to commit on a slow card.
constexpr std::int64_t rows_a_step = 1000;
constexpr std::int64_t pages_a_step = 64;
/// So that readings are written between any two steps, and a disk is not kept busy.
constexpr std::chrono::milliseconds between_steps{200};
constexpr TimeUs first_look_us = 60 * us_per_s;
constexpr TimeUs look_again_us = 60 * us_per_s;  ///< while a run is under way
constexpr TimeUs look_every_us = 3600 * us_per_s;
constexpr TimeUs day_us = 24 * 3600 * us_per_s;

TimeUs days_in_us(double days) {
  return std::llround(days * static_cast<double>(day_us));
}

}  // namespace

Housekeeping::Housekeeping(Parts parts)
    : parts_(std::move(parts)), started_us_(parts_.clock.now_us()), timer_(parts_.context) {}

void Housekeeping::start() {
  if (parts_.keep_days) look_in(parts_.clock.real_duration(first_look_us));
}

HousekeepingStatus Housekeeping::status() const {
  const std::lock_guard lock(mutex_);
  return status_;
}

void Housekeeping::look_in(std::chrono::nanoseconds wait) {
  timer_.expires_after(std::max<std::chrono::nanoseconds>(wait, between_steps));
  timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (!cancelled) look();
  });
}

/// A clock that was set wrong by years must not cost the readings of all years before.
std::string Housekeeping::why_not() const {
  if (!parts_.last_before_us || parts_.clock.synchronised() == true) return {};
  const TimeUs gap_us = started_us_ - *parts_.last_before_us;
  if (gap_us <= days_in_us(*parts_.keep_days)) return {};
  return fmt::format(
      "no readings for {:.0f} days before this start, and the clock is not known "
      "to be right: old readings stay until it is synchronised",
      static_cast<double>(gap_us) / static_cast<double>(day_us));
}

void Housekeeping::look() {
  const std::string held = why_not();
  {
    const std::lock_guard lock(mutex_);
    status_.held = held;
  }
  if (!held.empty()) return look_in(parts_.clock.real_duration(look_every_us));
  if (parts_.is_busy()) return look_in(parts_.clock.real_duration(look_again_us));
  const TimeUs before_us = parts_.clock.now_us() - days_in_us(*parts_.keep_days);
  parts_.recorder.post([this, before_us](Store& store) -> Result<void> {
    auto more = step(store, before_us);
    boost::asio::post(parts_.context, [this, more = std::move(more)] { finished(more); });
    return {};  // what fails is tried again with the next look, and holds no reading up
  });
}

Result<bool> Housekeeping::step(Store& store, TimeUs before_us) {
  const auto begun = std::chrono::steady_clock::now();
  if (!pass_) {
    auto pass = Retention::begin(store, before_us);
    if (!pass) return pass.error();
    pass_ = std::move(pass).value();
  }
  const auto removed = pass_->step(store, rows_a_step);
  if (!removed) return removed.error();
  std::int64_t given_back = 0;
  if (!*removed) {
    pass_.reset();
    const auto given = Retention::give_back(store, pages_a_step);
    if (!given) return given.error();
    given_back = *given;
  }
  const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - begun;
  const std::lock_guard lock(mutex_);
  status_.removed_readings += static_cast<std::uint64_t>(removed->value_or(0));
  status_.pages_given_back += static_cast<std::uint64_t>(given_back);
  status_.longest_step_ms = std::max(status_.longest_step_ms, took.count());
  return removed->has_value() || given_back > 0;
}

void Housekeeping::finished(const Result<bool>& more) {
  if (more && *more) return look_in(between_steps);
  if (more) {
    tell_of_removed();
  } else {
    const std::lock_guard lock(mutex_);
    status_.held = more.error().text;
  }
  look_in(parts_.clock.real_duration(look_every_us));
}

/// Once a day: some go every hour.
void Housekeeping::tell_of_removed() {
  const std::uint64_t removed = status().removed_readings;
  const TimeUs now_us = parts_.clock.now_us();
  if (removed == told_ || (told_us_ && now_us < *told_us_ + day_us)) return;
  parts_.log(fmt::format("store: {} readings outside runs, older than {} days, were removed",
                         removed - told_, *parts_.keep_days));
  told_ = removed;
  told_us_ = now_us;
}

}  // namespace nestcup::daemon

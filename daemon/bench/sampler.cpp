#include "daemon/bench/sampler.hpp"

#include <algorithm>
#include <chrono>

namespace nestcup::daemon {
namespace {

constexpr std::size_t remembered = 4096;
using Steady = std::chrono::steady_clock;

}  // namespace

Sampler::Sampler(boost::asio::io_context& context, const Clock& clock, double interval_s,
                 std::function<void()> tick)
    : clock_(clock),
      interval_us_(std::max<TimeUs>(1, to_us(interval_s))),
      tick_(std::move(tick)),
      timer_(context) {}

void Sampler::start() {
  origin_ = Steady::now();
  next_ = 1;
  wait();
}

void Sampler::stop() {
  timer_.cancel();
}

void Sampler::wait() {
  timer_.expires_at(origin_ + clock_.real_duration(next_ * interval_us_));
  timer_.async_wait([this](const boost::system::error_code& cancelled) {
    if (!cancelled) on_time();
  });
}

void Sampler::on_time() {
  const std::chrono::duration<double, std::micro> late = Steady::now() - timer_.expiry();
  if (late_us_.size() < remembered) {
    late_us_.push_back(late.count());
  } else {
    late_us_[ticks_ % remembered] = late.count();
  }
  ++ticks_;
  tick_();
  ++next_;
  while (origin_ + clock_.real_duration(next_ * interval_us_) <= Steady::now()) {
    ++next_;
    ++missed_;
  }
  wait();
}

SamplerStatus Sampler::status() const {
  SamplerStatus status;
  status.ticks = ticks_;
  status.missed = missed_;
  if (late_us_.empty()) return status;
  std::vector<double> sorted = late_us_;
  std::sort(sorted.begin(), sorted.end());
  status.late_median_us = sorted[sorted.size() / 2];
  status.late_p99_us = sorted[std::min(sorted.size() - 1, sorted.size() * 99 / 100)];
  return status;
}

}  // namespace nestcup::daemon

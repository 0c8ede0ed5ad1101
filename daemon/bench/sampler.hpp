// The sampler: asks polled probes on an even grid of absolute deadlines.
#pragma once

#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <cstdint>
#include <functional>
#include <vector>

#include "core/base/clock.hpp"

namespace nestcup::daemon {

/// How well the grid is kept.
struct SamplerStatus {
  std::uint64_t ticks = 0;
  std::uint64_t missed = 0;     ///< grid times that passed before the tick was done
  double late_median_us = 0.0;  ///< of the last ticks, machine time
  double late_p99_us = 0.0;
};

/// Calls `tick` at start + n * interval; never drifts, and never catches up by bunching ticks.
class Sampler {
 public:
  Sampler(boost::asio::io_context& context, const Clock& clock, double interval_s,
          std::function<void()> tick);
  void start();
  void stop();
  [[nodiscard]] SamplerStatus status() const;

 private:
  void wait();
  void on_time();

  const Clock& clock_;
  TimeUs interval_us_;
  std::function<void()> tick_;
  boost::asio::steady_timer timer_;
  std::chrono::steady_clock::time_point origin_{};
  std::int64_t next_ = 0;  ///< number of the next grid time
  std::uint64_t ticks_ = 0;
  std::uint64_t missed_ = 0;
  std::vector<double> late_us_;  ///< ring of the last ticks
};

}  // namespace nestcup::daemon

// The machine's clock, run at a chosen speed.
#pragma once

#include <chrono>

#include "core/base/clock.hpp"

namespace nestcup::sim {

/// Steady time from the making of the clock on, `speed` bench seconds a second.
class FastClock final : public Clock {
 public:
  explicit FastClock(double speed) : speed_(speed), start_(std::chrono::steady_clock::now()) {}

  [[nodiscard]] TimeUs now_us() const override {
    const std::chrono::duration<double> passed = std::chrono::steady_clock::now() - start_;
    return to_us(passed.count() * speed_);
  }
  [[nodiscard]] TimeUs wall_us() const override {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::microseconds>(now).count();
  }
  [[nodiscard]] std::optional<bool> synchronised() const override { return std::nullopt; }
  [[nodiscard]] std::chrono::nanoseconds real_duration(TimeUs bench_us) const override {
    return std::chrono::nanoseconds(
        static_cast<std::int64_t>(static_cast<double>(bench_us) * 1e3 / speed_));
  }

 private:
  double speed_;
  std::chrono::steady_clock::time_point start_;
};

}  // namespace nestcup::sim

// The machine's own clock, for commands that open a port themselves.
#pragma once

#include <chrono>

#include "core/base/clock.hpp"

namespace nestcup {

/// Starts at 0 when it is made and runs as fast as time does.
class MachineClock final : public Clock {
 public:
  [[nodiscard]] TimeUs now_us() const override {
    const auto passed = std::chrono::steady_clock::now() - start_;
    return std::chrono::duration_cast<std::chrono::microseconds>(passed).count();
  }
  [[nodiscard]] TimeUs wall_us() const override {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::microseconds>(now).count();
  }
  [[nodiscard]] std::optional<bool> synchronised() const override { return std::nullopt; }
  [[nodiscard]] std::chrono::nanoseconds real_duration(TimeUs bench_us) const override {
    return std::chrono::microseconds(bench_us);
  }

 private:
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

}  // namespace nestcup

// Clock: time comes in by the door, so that tests and the demo can run a bench fast.
#pragma once

#include <chrono>
#include <cstdint>
#include <optional>

namespace nestcup {

/// A moment on the bench's axis: microseconds that never jump and never go back.
/// The axis starts near Unix time but is steady afterwards, whatever the wall clock does.
using TimeUs = std::int64_t;

inline constexpr TimeUs us_per_s = 1'000'000;

/// Seconds as microseconds, rounded to the nearest.
[[nodiscard]] constexpr TimeUs to_us(double seconds) {
  const double us = seconds * 1e6;
  return static_cast<TimeUs>(us < 0 ? us - 0.5 : us + 0.5);
}

/// Microseconds as seconds: the double nearest to the exact decimal.
[[nodiscard]] constexpr double to_s(TimeUs us) {
  return static_cast<double>(us) / 1e6;
}

/// The bench's clock. `speed` bench seconds pass in one second of the machine.
class Clock {
 public:
  virtual ~Clock() = default;

  /// Now, on the bench's axis (us).
  [[nodiscard]] virtual TimeUs now_us() const = 0;
  /// Now by the wall clock, Unix time (us); may step.
  [[nodiscard]] virtual TimeUs wall_us() const = 0;
  /// Whether the wall clock is synchronised; nothing where that cannot be told.
  [[nodiscard]] virtual std::optional<bool> synchronised() const = 0;
  /// How long `bench_us` of bench time last on the machine's own clock.
  [[nodiscard]] virtual std::chrono::nanoseconds real_duration(TimeUs bench_us) const = 0;
};

}  // namespace nestcup

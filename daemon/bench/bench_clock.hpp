// The bench's clock on the machine's boot clock, at its own speed.
#pragma once

#include <optional>
#include <string>

#include "core/base/clock.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// This boot of the machine, as the kernel names it; empty where it does not.
[[nodiscard]] std::string machine_boot_id();

/// Whether systemd-timesyncd has synchronised the wall clock, by the marker that it touches in its
/// folder; nothing where it does not run.
[[nodiscard]] std::optional<bool> marked_as_synchronised(const std::string& folder, TimeUs wall_us);

/// The boot clock (CLOCK_BOOTTIME: steady, goes on in suspend), us.
[[nodiscard]] TimeUs machine_us();

/// Steady bench time that goes on across restarts: on the same boot of the machine the axis is
/// carried on exactly, after a reboot by the wall clock, never backwards.
class BenchClock final : public Clock {
 public:
  /// @param speed  bench seconds per second of the machine, > 0
  /// @param last   the anchor of the store's last session; nothing for a new store
  /// @param not_before_us  the axis must lie behind this (the last stored reading)
  BenchClock(double speed, const std::optional<StoredSession>& last,
             std::optional<TimeUs> not_before_us);

  [[nodiscard]] TimeUs now_us() const override;
  [[nodiscard]] TimeUs wall_us() const override;
  [[nodiscard]] std::optional<bool> synchronised() const override;
  [[nodiscard]] std::chrono::nanoseconds real_duration(TimeUs bench_us) const override;

  [[nodiscard]] double speed() const { return anchor_.speed; }
  /// The anchor of this start of the daemon, to be stored.
  [[nodiscard]] const StoredSession& anchor() const { return anchor_; }

 private:
  StoredSession anchor_;
};

}  // namespace nestcup::daemon

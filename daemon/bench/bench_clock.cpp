#include "daemon/bench/bench_clock.hpp"

#include <sys/stat.h>
#include <sys/timex.h>
#include <time.h>

#include <cmath>
#include <fstream>

namespace nestcup::daemon {
namespace {

TimeUs read_clock(clockid_t which) {
  timespec now{};
  clock_gettime(which, &now);
  return static_cast<TimeUs>(now.tv_sec) * us_per_s + now.tv_nsec / 1000;
}

/// A sandbox may refuse even to ask the kernel.
std::optional<bool> is_synchronised() {
  timex query{};
  const int state = adjtimex(&query);  // modes 0: only asks
  if (state < 0) return marked_as_synchronised("/run/systemd/timesync", read_clock(CLOCK_REALTIME));
  return state != TIME_ERROR && (query.status & STA_UNSYNC) == 0;
}

}  // namespace

std::optional<bool> marked_as_synchronised(const std::string& folder, TimeUs wall_us) {
  // So long the kernel itself trusts a clock that nobody corrects (it adds 500 us a second to its
  // bound of the error, up to 16 s).
  constexpr TimeUs trusted_us = 32'000 * us_per_s;
  struct stat facts {};
  if (stat(folder.c_str(), &facts) != 0) return std::nullopt;
  if (stat((folder + "/synchronized").c_str(), &facts) != 0) return false;
  const TimeUs marked_us = static_cast<TimeUs>(facts.st_mtim.tv_sec) * us_per_s;
  return wall_us - marked_us < trusted_us;
}

std::string machine_boot_id() {
  std::ifstream file("/proc/sys/kernel/random/boot_id");
  std::string id;
  std::getline(file, id);
  return id;
}

TimeUs machine_us() {
  return read_clock(CLOCK_BOOTTIME);
}

BenchClock::BenchClock(double speed, const std::optional<StoredSession>& last,
                       std::optional<TimeUs> not_before_us) {
  anchor_.boot_id = machine_boot_id();
  anchor_.machine_us = machine_us();
  anchor_.wall_us = read_clock(CLOCK_REALTIME);
  anchor_.speed = speed;
  anchor_.clock_synchronised = is_synchronised();
  anchor_.axis_us = anchor_.wall_us;
  // A boot that has no name is not known to be the same one.
  const bool same_boot = last && !last->boot_id.empty() && last->boot_id == anchor_.boot_id;
  if (same_boot && last->speed == speed) {
    const auto since = static_cast<double>(anchor_.machine_us - last->machine_us);
    anchor_.axis_us = last->axis_us + std::llround(since * speed);
    if (speed != 1.0) anchor_.wall_us = last->wall_us + std::llround(since * speed);
  }
  if (not_before_us && anchor_.axis_us <= *not_before_us) anchor_.axis_us = *not_before_us + 1;
}

TimeUs BenchClock::now_us() const {
  const TimeUs since = machine_us() - anchor_.machine_us;
  if (anchor_.speed == 1.0) return anchor_.axis_us + since;
  return anchor_.axis_us + std::llround(static_cast<double>(since) * anchor_.speed);
}

TimeUs BenchClock::wall_us() const {
  // A bench on a fast clock keeps its own calendar; the machine's would not match its readings.
  if (anchor_.speed != 1.0) return anchor_.wall_us + (now_us() - anchor_.axis_us);
  return read_clock(CLOCK_REALTIME);
}

std::optional<bool> BenchClock::synchronised() const {
  return is_synchronised();
}

std::chrono::nanoseconds BenchClock::real_duration(TimeUs bench_us) const {
  return std::chrono::nanoseconds(
      std::llround(static_cast<double>(bench_us) * 1000.0 / anchor_.speed));
}

}  // namespace nestcup::daemon

#include "daemon/bench/sleep_watch.hpp"

#include <time.h>

#include <utility>

#include "daemon/bench/bench_clock.hpp"

namespace nestcup::daemon {
namespace {

/// Two clocks cannot be read in the same moment; a sleep lasts longer than any wait between them.
constexpr TimeUs least_us = us_per_s;

TimeUs steady_us() {
  timespec now{};
  clock_gettime(CLOCK_MONOTONIC, &now);
  return static_cast<TimeUs>(now.tv_sec) * us_per_s + now.tv_nsec / 1000;
}

TimeUs ahead_now_us() {
  return machine_us() - steady_us();
}

}  // namespace

SleepWatch::SleepWatch() : ahead_us_(ahead_now_us()) {}

double SleepWatch::slept_s() {
  const TimeUs ahead_us = ahead_now_us();
  if (ahead_us - ahead_us_ < least_us) return 0.0;
  return to_s(ahead_us - std::exchange(ahead_us_, ahead_us));
}

}  // namespace nestcup::daemon

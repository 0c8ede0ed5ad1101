#include "daemon/bench/bench_clock.hpp"

#include <filesystem>
#include <fstream>

#include "tests/catch.hpp"
#include "tests/daemon/support.hpp"

using namespace nestcup;
using namespace nestcup::daemon;
using namespace std::chrono_literals;

namespace {

constexpr TimeUs ms = 1000;

/// A session of this boot, begun so long ago (machine time).
StoredSession session_begun(TimeUs ago_us, TimeUs axis_us, double speed) {
  StoredSession session;
  session.boot_id = machine_boot_id();
  session.machine_us = machine_us() - ago_us;
  session.axis_us = axis_us;
  session.wall_us = axis_us + 7 * us_per_s;
  session.speed = speed;
  return session;
}

}  // namespace

TEST_CASE("a new bench begins its axis at the wall clock") {
  const BenchClock clock(1.0, std::nullopt, std::nullopt);
  CHECK(std::abs(clock.now_us() - clock.wall_us()) < us_per_s);
  CHECK(clock.anchor().axis_us == clock.anchor().wall_us);
  CHECK(clock.anchor().boot_id == machine_boot_id());
  CHECK(clock.anchor().speed == 1.0);
}

TEST_CASE("bench time passes at the asked speed and never goes back") {
  for (const double speed : {1.0, 60.0, 0.5}) {
    const BenchClock clock(speed, std::nullopt, std::nullopt);
    const TimeUs machine_before = machine_us(), bench_before = clock.now_us();
    TimeUs last = bench_before;
    bool falls = false;
    while (machine_us() < machine_before + 20 * ms) {
      const TimeUs now = clock.now_us();
      falls = falls || now < last;
      last = now;
    }
    CHECK_FALSE(falls);
    const TimeUs bench_after = clock.now_us(), machine_after = machine_us();
    const auto passed = static_cast<double>(bench_after - bench_before);
    CHECK(passed >= speed * 20.0 * ms - 0.1 * ms * speed);
    CHECK(passed <= speed * static_cast<double>(machine_after - machine_before) + 1.0);
    CHECK(clock.real_duration(us_per_s) == std::chrono::nanoseconds(std::llround(1e9 / speed)));
  }
}

TEST_CASE("on the same boot the axis goes on where the last session's clock would stand") {
  const StoredSession last = session_begun(100 * us_per_s, 5'000'000'000, 1.0);
  const BenchClock clock(1.0, last, std::nullopt);
  CHECK(clock.anchor().axis_us - (last.axis_us + 100 * us_per_s) >= 0);
  CHECK(clock.anchor().axis_us - (last.axis_us + 100 * us_per_s) < us_per_s);
  // However often it is begun anew: exactly as many us on the axis as on the machine.
  const BenchClock again(1.0, clock.anchor(), std::nullopt);
  CHECK(again.anchor().axis_us - clock.anchor().axis_us ==
        again.anchor().machine_us - clock.anchor().machine_us);
}

TEST_CASE("a fast bench keeps its calendar across a restart") {
  const StoredSession last = session_begun(10 * us_per_s, 5'000'000'000, 60.0);
  const BenchClock clock(60.0, last, std::nullopt);
  const TimeUs since = clock.anchor().axis_us - last.axis_us;
  CHECK(since >= 600 * us_per_s);
  CHECK(since < 660 * us_per_s);
  CHECK(clock.anchor().wall_us - last.wall_us == since);
  // Two looks at a clock that runs on: the calendar's lies between the axis's before and after.
  const TimeUs ahead_us = last.wall_us - last.axis_us;
  const TimeUs before = clock.now_us(), wall = clock.wall_us(), after = clock.now_us();
  CHECK(before <= wall - ahead_us);
  CHECK(wall - ahead_us <= after);
}

TEST_CASE("after a reboot or at another speed the axis goes on by the wall clock") {
  StoredSession last = session_begun(100 * us_per_s, 5'000'000'000, 1.0);
  last.boot_id = "another";
  const BenchClock rebooted(1.0, last, std::nullopt);
  CHECK(rebooted.anchor().axis_us == rebooted.anchor().wall_us);
  const BenchClock faster(2.0, session_begun(us_per_s, 5'000'000'000, 1.0), std::nullopt);
  CHECK(faster.anchor().axis_us == faster.anchor().wall_us);
}

TEST_CASE("the axis lies behind the last stored reading even where the wall clock was set back") {
  const TimeUs future_us = BenchClock(1.0, std::nullopt, std::nullopt).now_us() + 3600 * us_per_s;
  const BenchClock clock(1.0, std::nullopt, future_us);
  CHECK(clock.now_us() > future_us);
  CHECK(clock.now_us() < future_us + 60 * us_per_s);
}

TEST_CASE("boots that have no name are not taken for the same one") {
  // As if the machine did not tell: what a stored session says is empty, too.
  StoredSession last = session_begun(100 * us_per_s, 5'000'000'000, 1.0);
  last.boot_id.clear();
  const BenchClock clock(1.0, last, std::nullopt);
  CHECK(clock.anchor().axis_us == clock.anchor().wall_us);
}

TEST_CASE("timesyncd's marker tells whether the clock is synchronised, for as long as one may") {
  const test::Folder folder;
  const std::string marks = folder.path("timesync");
  const TimeUs now_us = BenchClock(1.0, std::nullopt, std::nullopt).wall_us();
  CHECK(marked_as_synchronised(marks, now_us) == std::nullopt);
  std::filesystem::create_directory(marks);
  CHECK(marked_as_synchronised(marks, now_us) == false);
  std::ofstream(marks + "/synchronized") << "";
  CHECK(marked_as_synchronised(marks, now_us) == true);
  CHECK(marked_as_synchronised(marks, now_us + 10 * 3600 * us_per_s) == false);
}

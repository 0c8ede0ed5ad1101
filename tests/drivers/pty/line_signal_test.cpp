// Presses of a switch out of levels, bounces and all.
#include "drivers/line/line_signal.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <vector>

#include "tests/catch.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;

namespace {

/// Stretches of levels, looked at every 10 ms.
struct Stretch {
  bool on;
  int ms;
};

std::vector<TimeUs> presses_in(const std::vector<Stretch>& stretches) {
  Debounce debounce;
  std::vector<TimeUs> presses;
  TimeUs now_us = 0;
  for (const Stretch& stretch : stretches) {
    for (int ms = 0; ms < stretch.ms; ms += 10) {
      if (const auto press = debounce.take(stretch.on, now_us)) presses.push_back(*press);
      now_us += 10'000;
    }
  }
  return presses;
}

}  // namespace

TEST_CASE("a press is told once, with the time at which it began") {
  CHECK(presses_in({{false, 1000}, {true, 500}, {false, 1000}}) == std::vector<TimeUs>{1'000'000});
  CHECK(presses_in({{false, 300}, {true, 5000}}) == std::vector<TimeUs>{300'000});
  CHECK(presses_in({{false, 300}, {true, 100}, {false, 300}, {true, 100}}).size() == 2);
}

TEST_CASE("bounces make no second press, crosstalk makes none") {
  const auto bouncing = presses_in({{false, 500},
                                    {true, 10},
                                    {false, 10},
                                    {true, 20},
                                    {false, 10},
                                    {true, 200},
                                    {false, 20},
                                    {true, 20},
                                    {false, 500}});
  REQUIRE(bouncing.size() == 1);
  CHECK(bouncing[0] >= 500'000);
  CHECK(bouncing[0] <= 560'000);
  CHECK(presses_in({{false, 500}, {true, 20}, {false, 500}, {true, 10}, {false, 500}}).empty());
}

TEST_CASE("a line that is on from the beginning is no press until it was off") {
  CHECK(presses_in({{true, 2000}}).empty());
  CHECK(presses_in({{true, 2000}, {false, 500}, {true, 100}}).size() == 1);
  CHECK(presses_in({{true, 2000}, {false, 50}, {true, 100}}).empty());
}

TEST_CASE("a port without modem lines says so") {
  Pty pty;
  const int descriptor = ::open(pty.path().c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK);
  REQUIRE(descriptor >= 0);
  CHECK_FALSE(modem_line(descriptor, MarkLine::cts));
  ::close(descriptor);
}

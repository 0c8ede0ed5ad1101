#include "drivers/probe_port.hpp"

#include <chrono>
#include <ctime>
#include <thread>

#include "tests/catch.hpp"
#include "tests/drivers/pty/port_bench.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;
using namespace std::chrono_literals;

namespace {

double cpu_s() {
  timespec used{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &used);
  return static_cast<double>(used.tv_sec) + 1e-9 * static_cast<double>(used.tv_nsec);
}

}  // namespace

TEST_CASE("stale bytes, the banner and the first partial line give no reading") {
  Pty pty;
  REQUIRE(pty.write("5\r\n11.5\r\n"));
  PortBench bench(port_at(pty.path()), 5.0);
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::settling));
  const std::string banner = "\xaa\x65\xd1 Board 1.2\r\n12.5\r\n13";
  REQUIRE(pty.write(banner));
  REQUIRE(bench.run_until_state(LineState::open));
  REQUIRE(pty.write(".5\r\ntime\r\n14.5\r\n"));
  REQUIRE(bench.run_until([&] { return !bench.values.empty(); }));
  CHECK(bench.values == std::vector<double>{14.5});
  const PortHealth health = bench.port->health();
  CHECK(health.serial.dropped_at_settle == banner.size());
  CHECK(health.serial.bytes == 16);
  CHECK(health.lines.first == 1);
  CHECK(health.lines.headers == 1);
  CHECK(health.probes[0].last_degC == 14.5);
  CHECK(bench.states() == std::vector<LineState>{LineState::settling, LineState::open});
  CHECK(bench.changes[1].since_us - bench.changes[0].since_us >= to_us(2.0));
}

TEST_CASE("several lines in one write are several readings, rising in time") {
  Pty pty;
  PortBench bench(port_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  const TimeUs before_us = bench.clock.now_us();
  REQUIRE(pty.write("0\n1\n2\n3\n4\n5\n"));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 5; }));
  CHECK(bench.values == std::vector<double>{1, 2, 3, 4, 5});
  CHECK(std::is_sorted(bench.times_us.begin(), bench.times_us.end(), std::less_equal<>()));
  CHECK(bench.times_us.front() >= before_us);
  CHECK(bench.times_us.back() <= bench.clock.now_us());
}

TEST_CASE("what waited while nobody came to the port is late, and no reading") {
  Pty pty;
  PortBench bench(port_at(pty.path()), 1.0);
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  REQUIRE(pty.write("0\n1\n"));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 1; }));
  REQUIRE(pty.write("2\n3\n4"));
  std::this_thread::sleep_for(1200ms);
  bench.run_for(400ms);
  CHECK(bench.values == std::vector<double>{1});
  CHECK(bench.port->health().lines.late == 2);
  // The last line has its end only now.
  REQUIRE(pty.write(".5\n5\n"));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 3; }));
  CHECK(bench.values == std::vector<double>{1, 4.5, 5});
}

TEST_CASE("bytes that are no text reach the decoder untouched") {
  Pty pty;
  PortBench bench(port_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  using namespace std::string_view_literals;
  REQUIRE(pty.write("\n21.\0005\n21.\xff\x33\n\x03\x04\n20.5\n"sv));
  REQUIRE(bench.run_until([&] { return !bench.values.empty(); }));
  CHECK(bench.values == std::vector<double>{20.5});
  CHECK(bench.port->health().lines.faults.of(LineFault::bad_byte) == 3);
}

TEST_CASE("an unplugged probe is taken up again when its link is back") {
  const TempFolder folder;
  auto pty = std::make_unique<Pty>();
  folder.link("board", pty->path());
  PortBench bench(port_at(folder.file("board")));
  bench.port->start();
  for (int round = 1; round <= 3; ++round) {
    REQUIRE(bench.run_until_state(LineState::open));
    REQUIRE(pty->write("x\n" + std::to_string(round) + "\n9"));
    REQUIRE(bench.run_until([&] { return bench.values.size() == static_cast<size_t>(round); }));
    // Another device keeps the number of the old one from being given again.
    auto next = std::make_unique<Pty>();
    pty->unplug();
    REQUIRE(bench.run_until_state(LineState::waiting));
    bench.run_for(50ms);
    folder.link("board", next->path());
    pty = std::move(next);
  }
  REQUIRE(bench.run_until_state(LineState::open));
  const PortHealth health = bench.port->health();
  CHECK(bench.values == std::vector<double>{1, 2, 3});
  CHECK(health.serial.opens == 4);
  CHECK(health.lines.faults.of(LineFault::incomplete) == 3);
  CHECK(bench.was_told("unplugged"));
}

TEST_CASE("a device that comes late is found, and its absence is told once") {
  const TempFolder folder;
  PortBench bench(port_at(folder.file("board")), 5.0);
  bench.port->start();
  bench.run_for(1900ms);  // 9.5 bench seconds, five tries; the next is due after 18.7 s
  CHECK(bench.changes.size() == 1);
  CHECK(bench.was_told("there is no"));
  Pty pty;
  folder.link("board", pty.path());
  const TimeUs before_us = bench.clock.now_us();
  REQUIRE(bench.run_until_state(LineState::settling));
  // Looked for between the tries too.
  CHECK(bench.clock.now_us() - before_us < to_us(3.0));
  CHECK(bench.run_until_state(LineState::open));
}

TEST_CASE("silence is told once, and so is its end") {
  Pty pty;
  PortBench bench(port_at(pty.path()), 10.0);
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::silent));
  bench.run_for(1200ms);  // more than two further silence times
  CHECK(bench.states() ==
        std::vector<LineState>{LineState::settling, LineState::open, LineState::silent});
  CHECK(bench.changes[2].since_us - bench.changes[1].since_us >= to_us(5.0));
  REQUIRE(pty.write("\n21.5\n"));
  REQUIRE(bench.run_until_state(LineState::open));
  CHECK(bench.states().size() == 4);
  CHECK(bench.values == std::vector<double>{21.5});
  for (int i = 0; i < 50; ++i) {  // 10 bench seconds with a line every fifth: no silence
    REQUIRE(pty.write("21.5\n"));
    bench.run_for(20ms);
  }
  CHECK(bench.states().size() == 4);
}

TEST_CASE("a hang-up costs no processor time") {
  Pty pty;
  PortBench bench(port_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  const auto before = std::chrono::steady_clock::now();
  pty.unplug();
  REQUIRE(bench.run_until_state(LineState::waiting));
  CHECK(std::chrono::steady_clock::now() - before < 100ms);
  const double used_before_s = cpu_s();
  bench.run_quietly(2s);
  CHECK(cpu_s() - used_before_s < 0.05);
}

TEST_CASE("a port that is set to bring nothing at once is neither lost nor read in vain") {
  Pty pty;
  PortBench bench(port_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  termios settings = pty.settings();
  settings.c_cc[VMIN] = 0;  // a read of an empty port now returns at once with nothing
  pty.set(settings);
  const double used_before_s = cpu_s();
  for (int i = 0; i < 20; ++i) {
    REQUIRE(pty.write("\n21.5\n"));
    bench.run_for(20ms);
  }
  CHECK(bench.values == std::vector<double>(20, 21.5));
  CHECK(cpu_s() - used_before_s < 0.2);
  const auto serial = bench.port->health().serial;
  CHECK(serial.opens == 1);
  CHECK(serial.spurious_eofs < 5);
}

TEST_CASE("a port that brings more than one read takes is read to the end") {
  Pty pty;
  PortBench bench(port_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  std::string lines = "\n";
  for (int i = 0; i < 1500; ++i) lines += "21.5\n";  // nearly two buffers
  REQUIRE(pty.write(lines));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 1500; }));
  REQUIRE(pty.write("22.5\n"));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 1501; }));
}

TEST_CASE("a port that another has is waited for") {
  Pty pty;
  PortBench first(port_at(pty.path()));
  first.port->start();
  REQUIRE(first.run_until_state(LineState::settling));
  PortBench second(port_at(pty.path()));
  second.port->start();
  REQUIRE(second.run_until_state(LineState::waiting));
  CHECK(second.was_told("taken by"));
  second.run_for(100ms);
  CHECK(second.changes.size() == 1);
  first.port->stop();
  CHECK(second.run_until_state(LineState::open));
}

TEST_CASE("a stopped or destroyed port says nothing more") {
  Pty pty;
  PortBench bench(port_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  REQUIRE(pty.write("\n21.5\n22.5\n"));
  bench.port->stop();
  bench.run_for(50ms);
  CHECK(bench.values.empty());
  CHECK(bench.states().back() == LineState::closed);
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  const std::size_t told = bench.changes.size();
  REQUIRE(pty.write("\n21.5\n"));
  bench.port.reset();
  bench.run_for(50ms);
  CHECK(bench.values.empty());
  CHECK(bench.changes.size() == told);
}

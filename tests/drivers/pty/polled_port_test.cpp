#include <chrono>

#include "drivers/probe_port.hpp"
#include "tests/catch.hpp"
#include "tests/drivers/pty/port_bench.hpp"
#include "tests/drivers/pty/pty.hpp"

using namespace nestcup;
using namespace nestcup::drivers;
using namespace nestcup::drivers::testing;
using namespace std::chrono_literals;

namespace {

PortSettings polled_at(const std::string& device, const std::string& request = "T?\r\n") {
  PortSettings port = port_at(device);
  port.request = request;
  return port;
}

}  // namespace

TEST_CASE("a polled device is asked, answers, and is not asked twice at a time") {
  Pty pty;
  PortBench bench(polled_at(pty.path()), 5.0);
  bench.port->ask();
  CHECK(bench.port->health().requests.refused == 1);  // not open yet
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  CHECK(bench.port->is_polled());
  for (int i = 0; i < 4; ++i) {
    bench.port->ask();
    bench.port->ask();
    std::string asked;
    REQUIRE(bench.run_until([&] {
      asked += pty.read();
      return asked.size() >= 4;
    }));
    CHECK(asked == "T?\r\n");
    REQUIRE(pty.write(std::to_string(20 + i) + "\r\n"));
    const auto before = bench.port->health().lines.total();
    REQUIRE(bench.run_until([&] { return bench.port->health().lines.total() > before; }));
  }
  // What answers a question has not begun before we listened: the first line counts, too.
  CHECK(bench.values == std::vector<double>{20, 21, 22, 23});
  CHECK(bench.port->health().requests.sent == 4);
  CHECK(bench.port->health().requests.skipped == 4);
  CHECK(bench.port->health().requests.unanswered == 0);
}

TEST_CASE("an answer that comes too late is thrown away and counted") {
  Pty pty;
  PortBench bench(polled_at(pty.path()), 5.0);
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  bench.port->ask();
  REQUIRE(pty.write("20.5\n"));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 1; }));
  bench.port->ask();
  bench.run_for(600ms);  // three bench seconds
  CHECK(bench.port->health().requests.unanswered == 1);
  bench.port->ask();  // too early: the answer may still be on its way
  CHECK(bench.port->health().requests.sent == 2);
  REQUIRE(pty.write("30.5\n"));
  REQUIRE(bench.run_until([&] { return bench.port->health().lines.late == 1; }));
  CHECK(bench.values.size() == 1);
  bench.port->ask();  // it has come: there is nothing left to wait for
  CHECK(bench.port->health().requests.sent == 3);
  REQUIRE(pty.write("21.5\n"));
  REQUIRE(bench.run_until([&] { return bench.values.size() == 2; }));
  CHECK(bench.values.back() == 21.5);
}

TEST_CASE("a polled device is silent only when it owes an answer") {
  Pty pty;
  PortBench bench(polled_at(pty.path()));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  bench.run_for(600ms);  // twelve bench seconds without a question
  CHECK(bench.port->health().line.state == LineState::open);
  bench.port->ask();
  REQUIRE(bench.run_until_state(LineState::silent));
  bench.port->ask();  // it is still asked
  REQUIRE(pty.write("21.5\n"));
  CHECK(bench.run_until_state(LineState::open));
}

TEST_CASE("a device that never reads blocks neither asking nor stopping") {
  Pty pty;
  PortBench bench(polled_at(pty.path(), std::string(4000, '?')));
  bench.port->start();
  REQUIRE(bench.run_until_state(LineState::open));
  REQUIRE(bench.run_until([&] {
    bench.port->ask();
    return bench.port->health().serial.refused_writes > 0;
  }));
  const auto before = std::chrono::steady_clock::now();
  bench.port->stop();
  bench.port.reset();
  CHECK(std::chrono::steady_clock::now() - before < 100ms);
}

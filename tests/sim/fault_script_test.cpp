// Faults of the line, kind by kind.
#include "sim/fault_script.hpp"

#include <cmath>

#include "tests/catch.hpp"

using namespace nestcup::sim;

namespace {

const std::string line = "21.30,22.04\r\n";

FaultScript script(LineFaultKind kind, double for_s, double delay_s, int count) {
  return FaultScript({LineFault{10.0, kind, for_s, delay_s, count}}, 1);
}

/// All bytes that arrive for a line.
std::string passed(FaultScript& faults, const std::string& sent, double now_s) {
  std::string bytes;
  for (const Delivery& delivery : faults.pass(sent, now_s)) bytes += delivery.bytes;
  return bytes;
}

}  // namespace

TEST_CASE("before its time a fault does nothing") {
  FaultScript faults = script(LineFaultKind::cut, 0.0, 0.0, 1);
  const auto deliveries = faults.pass(line, 9.9);
  REQUIRE(deliveries.size() == 1);
  CHECK(deliveries[0].bytes == line);
  CHECK(deliveries[0].due_s == 9.9);
}

TEST_CASE("cut takes the end off as many lines as asked for") {
  FaultScript faults = script(LineFaultKind::cut, 0.0, 0.0, 2);
  for (int i = 0; i < 2; ++i) {
    const std::string bytes = passed(faults, line, 10.5);
    CHECK(bytes.size() < line.size() - 1);
    CHECK(bytes == line.substr(0, bytes.size()));
    CHECK_FALSE(bytes.empty());
  }
  CHECK(passed(faults, line, 11.0) == line);
}

TEST_CASE("corrupt changes bytes and keeps the length") {
  FaultScript faults = script(LineFaultKind::corrupt, 0.0, 0.0, 1);
  const std::string bytes = passed(faults, line, 10.0);
  CHECK(bytes.size() == line.size());
  CHECK(bytes != line);
  CHECK(passed(faults, line, 10.5) == line);
}

TEST_CASE("delay holds lines back and never lets one overtake another") {
  FaultScript faults = script(LineFaultKind::delay, 1.0, 3.0, 1);
  CHECK(faults.pass(line, 10.5).at(0).due_s == 13.5);
  CHECK(faults.pass(line, 11.0).at(0).due_s == 13.5);
  CHECK(faults.pass(line, 14.0).at(0).due_s == 14.0);
}

TEST_CASE("stall is silence, freeze says the last line again") {
  FaultScript stalled = script(LineFaultKind::stall, 2.0, 0.0, 1);
  CHECK(stalled.pass(line, 11.9).empty());
  CHECK(passed(stalled, line, 12.0) == line);
  FaultScript frozen = script(LineFaultKind::freeze, 2.0, 0.0, 1);
  CHECK(passed(frozen, "1\r\n", 9.0) == "1\r\n");
  CHECK(passed(frozen, "2\r\n", 10.0) == "1\r\n");
  CHECK(passed(frozen, "3\r\n", 11.0) == "1\r\n");
  CHECK(passed(frozen, "4\r\n", 12.0) == "4\r\n");
}

TEST_CASE("garbage comes before a line, a flood is many copies, each once") {
  FaultScript dirty = script(LineFaultKind::garbage, 0.0, 0.0, 50);
  const std::string bytes = passed(dirty, line, 10.0);
  CHECK(bytes.size() == 50 + line.size());
  CHECK(bytes.substr(50) == line);
  CHECK(passed(dirty, line, 10.5) == line);
  FaultScript flooded = script(LineFaultKind::flood, 0.0, 0.0, 500);
  CHECK(flooded.pass(line, 10.0).size() == 500);
  CHECK(flooded.pass(line, 10.5).size() == 1);
}

TEST_CASE("unplug has edges") {
  const FaultScript faults = script(LineFaultKind::unplug, 5.0, 0.0, 1);
  CHECK(faults.plugged_in(9.9));
  CHECK_FALSE(faults.plugged_in(10.0));
  CHECK_FALSE(faults.plugged_in(14.9));
  CHECK(faults.plugged_in(15.0));
  CHECK(faults.next_change_s(0.0) == 10.0);
  CHECK(faults.next_change_s(10.0) == 15.0);
  CHECK(std::isinf(faults.next_change_s(15.0)));
  const FaultScript for_ever = script(LineFaultKind::unplug, 0.0, 0.0, 1);
  CHECK_FALSE(for_ever.plugged_in(1e9));
}

TEST_CASE("the same seed breaks lines in the same way") {
  FaultScript one = script(LineFaultKind::corrupt, 0.0, 0.0, 1);
  FaultScript two = script(LineFaultKind::corrupt, 0.0, 0.0, 1);
  CHECK(passed(one, line, 10.0) == passed(two, line, 10.0));
}

// Faults of the line, kind by kind.
#include "sim/fault_script.hpp"

#include <cmath>

#include "sim/fault_kinds.hpp"
#include "sim/modbus_frame.hpp"
#include "sim/spoilt_frame.hpp"
#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"

using namespace nestcup::sim;

namespace {

const std::string line = "21.30,22.04\r\n";

FaultScript script(LineFaultKind kind, double for_s, double delay_s, int count) {
  return FaultScript({LineFault{10.0, kind, for_s, delay_s, count}}, Protocol::text, 1);
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

TEST_CASE("a flood at a bit rate keeps the line busy, and what follows waits") {
  FaultScript faults({LineFault{10.0, LineFaultKind::flood, 0.0, 0.0, 1000, 4, 12.0, 13000.0}},
                     Protocol::text, 1);
  const auto deliveries = faults.pass(line, 10.0);
  REQUIRE(deliveries.size() == 1000);
  // 13 bytes of 10 bits at 13000 Bd take 10 ms.
  CHECK_THAT(deliveries[1].due_s, WithinAbs(10.01, 1e-9));
  CHECK_THAT(deliveries[999].due_s, WithinAbs(19.99, 1e-9));
  CHECK(faults.pass(line, 11.0).at(0).due_s == deliveries[999].due_s);
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

TEST_CASE("late frames come behind what is sent after them") {
  FaultScript faults = script(LineFaultKind::late, 0.0, 3.0, 1);
  CHECK(faults.pass(line, 10.5).at(0).due_s == 13.5);
  CHECK(faults.pass(line, 11.0).at(0).due_s == 11.0);
}

TEST_CASE("asleep: so many frames are not sent") {
  FaultScript faults = script(LineFaultKind::asleep, 0.0, 0.0, 3);
  for (int i = 0; i < 3; ++i) CHECK(faults.pass(line, 10.0).empty());
  CHECK(passed(faults, line, 10.5) == line);
}

TEST_CASE("a hang-up sends half a frame and takes the cable out soon after") {
  FaultScript faults = script(LineFaultKind::hang_up, 2.0, 0.5, 1);
  CHECK(faults.plugged_in(1e9));
  CHECK(passed(faults, line, 20.0) == line.substr(0, 7));
  CHECK(faults.next_change_s(20.0) == 20.5);
  CHECK(faults.plugged_in(20.4));
  CHECK_FALSE(faults.plugged_in(20.5));
  CHECK(faults.plugged_in(22.5));
  FaultScript for_ever = script(LineFaultKind::hang_up, 0.0, 0.0, 1);
  CHECK_FALSE(passed(for_ever, line, 20.0).empty());
  CHECK(for_ever.plugged_in(20.0));
  CHECK_FALSE(for_ever.plugged_in(20.06));
  CHECK_FALSE(for_ever.plugged_in(1e9));
}

TEST_CASE("a frozen board gives the last answer to the same question") {
  FaultScript faults = script(LineFaultKind::freeze, 5.0, 0.0, 1);
  CHECK(faults.pass("cup 1", 8.0, "cup?").at(0).bytes == "cup 1");
  CHECK(faults.pass("added 1", 8.5, "added?").at(0).bytes == "added 1");
  CHECK(faults.pass("cup 2", 10.0, "cup?").at(0).bytes == "cup 1");
  CHECK(faults.pass("added 2", 10.5, "added?").at(0).bytes == "added 1");
  CHECK(faults.pass("room 1", 11.0, "room?").at(0).bytes == "room 1");
  CHECK(faults.pass("cup 3", 15.0, "cup?").at(0).bytes == "cup 3");
}

TEST_CASE("doubled, NUL, wrong baud, endless and foreign reach the line") {
  FaultScript doubled = script(LineFaultKind::doubled, 0.0, 0.0, 1);
  CHECK(passed(doubled, line, 10.0).size() == line.size() + 2);
  FaultScript nul = script(LineFaultKind::nul, 0.0, 0.0, 1);
  CHECK(passed(nul, line, 10.0).find('\0') != std::string::npos);
  FaultScript baud = script(LineFaultKind::wrong_baud, 5.0, 0.0, 1);
  CHECK(passed(baud, line, 10.0) == heard_at(line, 12.0));
  CHECK(passed(baud, line, 15.0) == line);
  FaultScript endless = script(LineFaultKind::endless, 0.0, 0.0, 9000);
  CHECK(passed(endless, line, 10.0).size() == 9000 + line.size());
  FaultScript foreign = script(LineFaultKind::foreign, 0.0, 0.0, 1);
  const std::string talk = passed(foreign, line, 10.0);
  CHECK(talk.size() > line.size());
  CHECK(talk.substr(talk.size() - line.size()) == line);
}

TEST_CASE("faults of Modbus frames reach the line") {
  const std::string answer = modbus_frame(bytes_of("11 03 02 00 D7"));
  const auto heard = [&answer](LineFaultKind kind) {
    FaultScript faults({LineFault{10.0, kind, 0.0, 0.0, 1, 6}}, Protocol::modbus_rtu, 1);
    const std::string first = passed(faults, answer, 10.0);
    CHECK(passed(faults, answer, 10.5) == answer);
    return first;
  };
  CHECK_FALSE(crc_holds(heard(LineFaultKind::checksum)));
  CHECK(heard(LineFaultKind::address).substr(1, 4) == answer.substr(1, 4));
  CHECK(hex_of(heard(LineFaultKind::function)).substr(0, 14) == "11 04 02 00 D7");
  CHECK(hex_of(heard(LineFaultKind::exception)).substr(0, 8) == "11 83 06");
}

TEST_CASE("every kind has a name, an explanation, and is found by its name") {
  const std::vector<std::string> lines = fault_lines();
  REQUIRE(lines.size() == fault_kinds().size());
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const FaultKind& row = fault_kinds()[i];
    CHECK(fault_kind_named(row.name) == row.kind);
    CHECK(row.what.size() > 10);
    CHECK((row.for_lines || row.for_modbus));
    CHECK(lines[i].find(std::string(row.name) + ": " + std::string(row.what)) == 0);
  }
  CHECK_FALSE(fault_kind_named("fire").has_value());
}

TEST_CASE("the same seed breaks lines in the same way") {
  FaultScript one = script(LineFaultKind::corrupt, 0.0, 0.0, 1);
  FaultScript two = script(LineFaultKind::corrupt, 0.0, 0.0, 1);
  CHECK(passed(one, line, 10.0) == passed(two, line, 10.0));
}

// Modbus slaves, against the examples of MODBUS Application Protocol Specification V1.1b3 and
// MODBUS over Serial Line V1.02.
#include "sim/firmware_modbus.hpp"
#include "sim/modbus_frame.hpp"
#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

/// Probes that are registers of 16 bits, one after the other.
Scenario with_registers(int device, int function, int first, int count) {
  Scenario scenario;
  for (int i = 0; i < count; ++i) {
    ProbeSettings probe;
    probe.name = "p" + std::to_string(i);
    probe.registers = {device, function, first + i, NumberFormat::uint16};
    scenario.probes.push_back(probe);
  }
  scenario.board.protocol = Protocol::modbus_rtu;
  return scenario;
}

std::string ask(Asked& asked, const std::string& body) {
  return hex_of(asked.with(modbus_frame(bytes_of(body))));
}

}  // namespace

TEST_CASE("the CRC of the serial line specification's example") {
  // V1.02, appendix B (CRC generation): the message 02 07 has the CRC bytes 41 12 on the line.
  CHECK(hex_of(modbus_frame(bytes_of("02 07"))) == "02 07 41 12");
  CHECK(crc_holds(bytes_of("02 07 41 12")));
  CHECK_FALSE(crc_holds(bytes_of("02 07 12 41")));
  // Check value of this CRC in common tables of CRCs.
  CHECK(modbus_crc("123456789") == 0x4B37);
}

TEST_CASE("read holding registers: the application protocol's example") {
  // V1.1b3, 6.3: registers 108 to 110 (0x6B to 0x6D) hold 022B, 0000 and 0064.
  FirmwareModbus firmware(with_registers(17, 3, 0x6B, 3));
  Asked asked(firmware, {0x022B, 0x0000, 0x0064});
  const std::string answer = asked.with(modbus_frame(bytes_of("11 03 00 6B 00 03")));
  CHECK(hex_of(answer.substr(1, answer.size() - 3)) == "03 06 02 2B 00 00 00 64");
  CHECK(crc_holds(answer));
  CHECK(answer[0] == 0x11);
}

TEST_CASE("read input registers: the application protocol's example") {
  // V1.1b3, 6.4: input register 9 (0x0008) holds 000A.
  FirmwareModbus firmware(with_registers(1, 4, 8, 1));
  Asked asked(firmware, {10});
  const std::string answer = asked.with(modbus_frame(bytes_of("01 04 00 08 00 01")));
  CHECK(hex_of(answer.substr(1, answer.size() - 3)) == "04 02 00 0A");
}

TEST_CASE("exceptions: function, value, address") {
  FirmwareModbus firmware(with_registers(1, 4, 8, 2));
  Asked asked(firmware, {10, 11});
  CHECK(ask(asked, "01 01 00 00 00 01").substr(0, 8) == "01 81 01");
  CHECK(ask(asked, "01 06 00 08 00 01").substr(0, 8) == "01 86 01");
  CHECK(ask(asked, "01 10 00 08 00 01 02 00 05").substr(0, 8) == "01 90 01");
  CHECK(ask(asked, "01 04 00 08 00 00").substr(0, 8) == "01 84 03");
  CHECK(ask(asked, "01 04 00 08 00 7E").substr(0, 8) == "01 84 03");
  CHECK(ask(asked, "01 04 00 07 00 01").substr(0, 8) == "01 84 02");
  CHECK(ask(asked, "01 04 00 09 00 02").substr(0, 8) == "01 84 02");
  CHECK(ask(asked, "01 04 FF FF 00 7D").substr(0, 8) == "01 84 02");
  // The registers are input registers, and there are no holding registers.
  CHECK(ask(asked, "01 03 00 08 00 01").substr(0, 8) == "01 83 02");
  CHECK(asked.measurements() == 0);
  CHECK(ask(asked, "01 04 00 08 00 02").substr(0, 20) == "01 04 04 00 0A 00 0B");
}

TEST_CASE("silent on other addresses, broadcasts and wrong CRCs") {
  FirmwareModbus firmware(with_registers(1, 4, 0, 1));
  Asked asked(firmware, {10});
  CHECK(ask(asked, "02 04 00 00 00 01").empty());
  CHECK(ask(asked, "00 04 00 00 00 01").empty());
  std::string wrong = modbus_frame(bytes_of("01 04 00 00 00 01"));
  wrong.back() = static_cast<char>(wrong.back() ^ 1);
  CHECK(asked.with(wrong).empty());
  CHECK(ask(asked, "01 04 00 00 00 01").substr(0, 14) == "01 04 02 00 0A");
}

TEST_CASE("requests in pieces, in one go, and behind bytes that are none") {
  FirmwareModbus firmware(with_registers(1, 4, 0, 1));
  Asked asked(firmware, {10});
  const std::string request = modbus_frame(bytes_of("01 04 00 00 00 01"));
  const std::string answer = modbus_frame(bytes_of("01 04 02 00 0A"));
  for (std::size_t split = 0; split <= request.size(); ++split) {
    const std::string first = asked.with(request.substr(0, split));
    CHECK(first + asked.with(request.substr(split)) == answer);
  }
  CHECK(asked.with(request + request) == answer + answer);
  CHECK(asked.with(request.substr(0, 5)).empty());
  CHECK(asked.with(request) == answer);
  CHECK(asked.with(std::string(1000, '\x55')).empty());
  CHECK(asked.with(request) == answer);
}

TEST_CASE("several devices are on one line") {
  Scenario scenario = with_registers(3, 3, 100, 2);
  scenario.probes[1].registers = {4, 4, 7, NumberFormat::int32};
  scenario.probes[1].registers.scale = 0.001;
  FirmwareModbus firmware(scenario);
  Asked asked(firmware, {5, -1.5});
  CHECK(ask(asked, "03 03 00 64 00 01").substr(0, 14) == "03 03 02 00 05");
  CHECK(ask(asked, "04 04 00 07 00 02").substr(0, 20) == "04 04 04 FF FF FA 24");
  CHECK(ask(asked, "03 04 00 07 00 02").substr(0, 8) == "03 84 02");
}

TEST_CASE("word orders of 21.53 as a float (IEEE 754: 41AC3D71)") {
  using Words = std::vector<std::uint16_t>;
  const auto float32 = NumberFormat::float32;
  CHECK(registers_of(21.53, float32, WordOrder::ABCD) == Words{0x41AC, 0x3D71});
  CHECK(registers_of(21.53, float32, WordOrder::CDAB) == Words{0x3D71, 0x41AC});
  CHECK(registers_of(21.53, float32, WordOrder::BADC) == Words{0xAC41, 0x713D});
  CHECK(registers_of(21.53, float32, WordOrder::DCBA) == Words{0x713D, 0xAC41});
}

TEST_CASE("whole numbers are rounded, and their ends are kept") {
  using Words = std::vector<std::uint16_t>;
  const auto order = WordOrder::ABCD;
  CHECK(registers_of(-10.6, NumberFormat::int16, order) == Words{0xFFF5});
  CHECK(registers_of(32767.4, NumberFormat::int16, order) == Words{0x7FFF});
  CHECK(registers_of(40000.0, NumberFormat::uint16, order) == Words{0x9C40});
  CHECK(registers_of(-2.0, NumberFormat::int32, WordOrder::CDAB) == Words{0xFFFE, 0xFFFF});
  CHECK(registers_of(4294967295.0, NumberFormat::uint32, order) == Words{0xFFFF, 0xFFFF});
}

TEST_CASE("what a format cannot hold becomes its sentinel") {
  using Words = std::vector<std::uint16_t>;
  const auto order = WordOrder::ABCD;
  CHECK(registers_of(32768.0, NumberFormat::int16, order) == Words{0x8000});
  CHECK(registers_of(NAN, NumberFormat::int16, order) == Words{0x8000});
  CHECK(registers_of(-1.0, NumberFormat::uint16, order) == Words{0xFFFF});
  CHECK(registers_of(INFINITY, NumberFormat::int32, order) == Words{0x8000, 0x0000});
  CHECK(registers_of(NAN, NumberFormat::uint32, order) == Words{0xFFFF, 0xFFFF});
  CHECK(registers_of(NAN, NumberFormat::float32, order) == Words{0x7FC0, 0x0000});
}

TEST_CASE("scale and offset, and a broken probe") {
  Scenario scenario = with_registers(1, 4, 0, 1);
  scenario.probes[0].registers.format = NumberFormat::int16;
  scenario.probes[0].registers.scale = 0.1;
  scenario.probes[0].registers.offset = -40.0;
  FirmwareModbus firmware(scenario);
  Asked asked(firmware, {21.5});
  // (21.5 + 40) / 0.1 = 615 = 0x0267
  CHECK(ask(asked, "01 04 00 00 00 01").substr(0, 14) == "01 04 02 02 67");
  asked.report().channels[0].found = Found::nothing;
  CHECK(ask(asked, "01 04 00 00 00 01").substr(0, 14) == "01 04 02 80 00");
  scenario.board.no_reading = "32767";
  FirmwareModbus other(scenario);
  Asked again(other, {21.5});
  again.report().channels[0].found = Found::overload;
  CHECK(ask(again, "01 04 00 00 00 01").substr(0, 14) == "01 04 02 7F FF");
}

// What a text board says and understands, and what all firmwares share.
#include "sim/firmware_text.hpp"

#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"

using namespace nestcup;
using namespace nestcup::sim;

TEST_CASE("a line has a column a probe with the decimals of its step and ends with CR LF") {
  const FirmwareText firmware(two_probes());
  CHECK(firmware.report(values({21.3, 22.0})) == "21.30,22.0\r\n");
}

TEST_CASE("separator, keys and uptime are the scenario's choice") {
  Scenario scenario = two_probes();
  scenario.board.separator = ";";
  scenario.board.keyed = true;
  scenario.board.uptime_column = true;
  const FirmwareText firmware(scenario);
  Report report = values({21.3, -0.5});
  report.uptime_s = 5.25;
  CHECK(firmware.report(report) == "5250;cup=21.30;room=-0.5\r\n");
  CHECK(firmware.greeting() == "# degC: uptime_ms;cup;room\r\n");
}

TEST_CASE("a probe without a last digit is printed with six decimals") {
  Scenario scenario = two_probes();
  scenario.probes[0].step_K = 0.0;
  CHECK(FirmwareText(scenario).report(values({1.0 / 3.0, 22.0})) == "0.333333,22.0\r\n");
}

TEST_CASE("raw units have the decimals of their own step, and stand in the heading") {
  Scenario scenario = two_probes();
  scenario.probes[0].sends = RawUnit::microvolt;
  scenario.probes[0].step_raw = 0.25;
  scenario.probes[1].sends = RawUnit::volt;
  scenario.probes[1].step_raw = 1e-7;
  const FirmwareText firmware(scenario);
  CHECK(firmware.report(values({-31.5, 0.0012345})) == "-31.50,0.0012345\r\n");
  CHECK(firmware.greeting() == "# cup_uV,room_V\r\n");
}

TEST_CASE("where there is no value the board's word for it stands") {
  Scenario scenario = two_probes();
  Report report = values({21.3, 22.0});
  report.channels[0].found = Found::nothing;
  report.channels[1].found = Found::overload;
  CHECK(FirmwareText(scenario).report(report) == "nan,nan\r\n");
  scenario.board.no_reading = "-127.00";
  CHECK(FirmwareText(scenario).report(report) == "-127.00,-127.00\r\n");
}

TEST_CASE("the greeting is banner and heading, remarks begin with #") {
  Scenario scenario = two_probes();
  scenario.board.banner = {"thermometer 3", "ready"};
  const FirmwareText firmware(scenario);
  CHECK(firmware.greeting() == "thermometer 3\r\nready\r\n# degC: cup,room\r\n");
  CHECK(firmware.remark(60.0) == "# up for 60 s\r\n");
}

TEST_CASE("requests are whole lines, in pieces or several at once") {
  FirmwareText firmware(two_probes());
  Asked asked(firmware, {21.3, 22.0});
  CHECK(asked.with("R").empty());
  CHECK(asked.with("\n") == "21.30,22.0\r\n");
  CHECK(asked.with("R\r\nR\nX\nRR\n") == "21.30,22.0\r\n21.30,22.0\r\n");
  CHECK(asked.with(std::string(1000, 'R')).empty());
  CHECK(asked.with("\nR\n") == "21.30,22.0\r\n");
  CHECK(asked.measurements() == 4);
}

TEST_CASE("each protocol has its firmware") {
  Scenario scenario = two_probes();
  const auto speaks = [&scenario](Protocol protocol) {
    scenario.board.protocol = protocol;
    return make_firmware(scenario)->report(values({21.3, 22.0})).substr(0, 6);
  };
  CHECK(speaks(Protocol::text) == "21.30,");
  CHECK(speaks(Protocol::senml) == "[{\"bn\"");
  CHECK(speaks(Protocol::modbus_rtu).empty());
  CHECK(speaks(Protocol::scpi).empty());
}

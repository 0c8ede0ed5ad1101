// What the board says and what it understands.
#include "sim/firmware_text.hpp"

#include "tests/catch.hpp"

using namespace nestcup::sim;

namespace {

Scenario two_probes() {
  Scenario scenario;
  ProbeSettings probe;
  probe.name = "cup";
  scenario.probes.push_back(probe);
  probe.name = "room";
  probe.step_K = 0.1;
  scenario.probes.push_back(probe);
  return scenario;
}

}  // namespace

TEST_CASE("a line has a column a probe with the decimals of its step and ends with CR LF") {
  const FirmwareText firmware(two_probes());
  CHECK(firmware.data_line({21.3, 22.0}, 5.0) == "21.30,22.0\r\n");
}

TEST_CASE("separator, keys and uptime are the scenario's choice") {
  Scenario scenario = two_probes();
  scenario.board.separator = ";";
  scenario.board.keyed = true;
  scenario.board.uptime_column = true;
  const FirmwareText firmware(scenario);
  CHECK(firmware.data_line({21.3, -0.5}, 5.25) == "5250;cup=21.30;room=-0.5\r\n");
  CHECK(firmware.greeting() == "# degC: uptime_ms;cup;room\r\n");
}

TEST_CASE("a probe without a last digit is printed with six decimals") {
  Scenario scenario = two_probes();
  scenario.probes[0].step_K = 0.0;
  CHECK(FirmwareText(scenario).data_line({1.0 / 3.0, 22.0}, 0.0) == "0.333333,22.0\r\n");
}

TEST_CASE("the greeting is banner and heading, remarks begin with #") {
  Scenario scenario = two_probes();
  scenario.board.banner = {"thermometer 3", "ready"};
  const FirmwareText firmware(scenario);
  CHECK(firmware.greeting() == "thermometer 3\r\nready\r\n# degC: cup,room\r\n");
  CHECK(firmware.comment_line(60.0) == "# up for 60 s\r\n");
}

TEST_CASE("requests are whole lines, in pieces or several at once") {
  FirmwareText firmware(two_probes());
  CHECK(firmware.requests_in("R") == 0);
  CHECK(firmware.requests_in("\n") == 1);
  CHECK(firmware.requests_in("R\r\nR\nX\nRR\n") == 2);
  CHECK(firmware.requests_in(std::string(1000, 'R')) == 0);
  CHECK(firmware.requests_in("\nR\n") == 1);
}

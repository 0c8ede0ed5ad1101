// Packs of a board that speaks SenML, against RFC 8428.
#include "sim/firmware_senml.hpp"

#include <nlohmann/json.hpp>

#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"

using namespace nestcup;
using namespace nestcup::sim;
using nlohmann::json;

namespace {

/// A scenario that sends what the example of RFC 8428, section 5.1.2 shows.
Scenario example() {
  Scenario scenario;
  ProbeSettings probe;
  probe.name = "voltage";
  probe.sends = RawUnit::volt;
  probe.step_raw = 0.1;
  scenario.probes.push_back(probe);
  probe.name = "current";
  probe.sends = RawUnit::ratio;
  probe.step_raw = 0.1;
  scenario.probes.push_back(probe);
  scenario.board.protocol = Protocol::senml;
  scenario.board.base_name = "urn:dev:ow:10e2073a01080063:";
  return scenario;
}

}  // namespace

TEST_CASE("a pack looks like the standard's example of several data points") {
  // RFC 8428, 5.1.2: [{"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V","v":120.1},
  // {"n":"current","u":"A","v":1.2}]; our boards know no ampere, and have the unit as `bu`.
  const FirmwareSenml firmware(example());
  CHECK(firmware.report(values({120.1, 1.2})) ==
        "[{\"bn\":\"urn:dev:ow:10e2073a01080063:\",\"bu\":\"V\",\"n\":\"voltage\",\"v\":120.1},"
        "{\"n\":\"current\",\"u\":\"/\",\"v\":1.2}]\n");
}

TEST_CASE("base time, version and value go into the first record") {
  Scenario scenario = example();
  scenario.board.clock_s = 1.276020076e9;
  scenario.board.version = 5;
  scenario.board.base_value = 100.0;
  Report report = values({120.1, 101.2});
  report.at_s = 0.001;
  const json pack = json::parse(FirmwareSenml(scenario).report(report));
  REQUIRE(pack.size() == 2);
  CHECK(pack[0]["bt"] == 1.276020076001e9);
  CHECK(pack[0]["bver"] == 5);
  CHECK(pack[0]["bv"] == 100.0);
  CHECK(pack[0]["v"] == 20.1);
  CHECK(pack[1]["v"] == 1.2);
  CHECK_FALSE(pack[1].contains("bn"));
}

TEST_CASE("units have the standard's names, and some have none") {
  CHECK(senml_unit(RawUnit::degC) == "Cel");
  CHECK(senml_unit(RawUnit::kelvin) == "K");
  CHECK(senml_unit(RawUnit::ohm) == "Ohm");
  CHECK(senml_unit(RawUnit::volt) == "V");
  CHECK(senml_unit(RawUnit::ratio) == "/");
  CHECK(senml_unit(RawUnit::count) == "count");
  CHECK(senml_unit(RawUnit::degF).empty());
  CHECK(senml_unit(RawUnit::microvolt).empty());
}

TEST_CASE("no value is a string value, or a number where the scenario says one") {
  Scenario scenario = two_probes();
  Report report = values({21.3, 22.0});
  report.channels[1].found = Found::overload;
  json pack = json::parse(FirmwareSenml(scenario).report(report));
  CHECK(pack[0]["v"] == 21.3);
  CHECK(pack[1]["vs"] == "nan");
  CHECK_FALSE(pack[1].contains("v"));
  scenario.board.no_reading = "-127";
  pack = json::parse(FirmwareSenml(scenario).report(report));
  CHECK(pack[1]["v"] == -127.0);
}

TEST_CASE("a polled board answers R with a pack") {
  FirmwareSenml firmware(two_probes());
  Asked asked(firmware, {21.3, 22.0});
  CHECK(asked.with("r\nR").empty());
  const std::string answer = asked.with("\n");
  CHECK(json::parse(answer)[0]["n"] == "cup");
  CHECK(answer.back() == '\n');
}

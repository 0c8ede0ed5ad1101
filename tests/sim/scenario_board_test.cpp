// Scenario files: the board's protocol, registers, sensors, and the faults that fit.
#include "sim/fault_kinds.hpp"
#include "sim/scenario.hpp"
#include "tests/catch.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

/// A file with one probe; the lines of `probe` are 8 and following.
std::string file_with(const std::string& probe, const std::string& rest) {
  return "[scenario]\nname = \"small\"\nduration_s = 100\n[cup]\nheat_capacity_J_per_K = 400\n"
         "temperature_degC = 21\n[[probe]]\n" +
         probe + "name = \"cup\"\nplace = \"cup\"\n" + rest;
}

Scenario taken(const std::string& probe, const std::string& rest) {
  Result<Scenario> read = parse_scenario(file_with(probe, rest), "bench.toml");
  INFO((read.ok() ? "" : read.error().text));
  REQUIRE(read.ok());
  return *read;
}

std::string complaint(const std::string& probe, const std::string& rest) {
  const Result<Scenario> read = parse_scenario(file_with(probe, rest), "bench.toml");
  return read.ok() ? "was taken" : read.error().text;
}

const std::string modbus = "[board]\nprotocol = \"modbus-rtu\"\n";
const std::string senml = "[board]\nprotocol = \"senml\"\n";
const std::string scpi = "[board]\nprotocol = \"scpi\"\n";

}  // namespace

TEST_CASE("without a word a board speaks text and sends degC") {
  const Scenario scenario = taken("", "");
  CHECK(scenario.board.protocol == Protocol::text);
  CHECK_FALSE(scenario.board.polled);
  CHECK(scenario.board.reset_on_open);
  CHECK(scenario.probes[0].sends == RawUnit::degC);
  CHECK(scenario.probes[0].step_K == 0.01);
}

TEST_CASE("registers of a Modbus device") {
  const Scenario scenario = taken(
      "device = 17\nfunction = 3\nregister = 107\nformat = \"int32\"\nword_order = \"DCBA\"\n"
      "scale = 0.01\noffset = -40\n",
      modbus + "echo = true\nanswer_delay_s = 0.2\n");
  const RegisterSettings& place = scenario.probes[0].registers;
  CHECK(place.device == 17);
  CHECK(place.function == 3);
  CHECK(place.first == 107);
  CHECK(place.format == NumberFormat::int32);
  CHECK(place.order == WordOrder::DCBA);
  CHECK(place.scale == 0.01);
  CHECK(place.offset == -40.0);
  CHECK(scenario.board.polled);
  CHECK_FALSE(scenario.board.reset_on_open);
  CHECK(scenario.board.echo);
  CHECK(scenario.board.answer_delay_s == 0.2);
}

TEST_CASE("what is wrong with registers") {
  CHECK_THAT(complaint("", modbus), ContainsSubstring("probe 1.register: missing"));
  CHECK_THAT(complaint("register = 1\ndevice = 248\n", modbus),
             ContainsSubstring("bench.toml:9: probe 1.device: expected 1 to 247"));
  CHECK_THAT(complaint("register = 1\nfunction = 6\n", modbus),
             ContainsSubstring("probe 1.function: expected 3 to 4"));
  CHECK_THAT(complaint("register = 65535\n", modbus), ContainsSubstring("does not end before"));
  CHECK_THAT(complaint("register = 1\nformat = \"int8\"\n", modbus),
             ContainsSubstring("probe 1.format: expected one of int16, uint16"));
  CHECK_THAT(complaint("register = 1\nformat = \"int16\"\nword_order = \"CDAB\"\n", modbus),
             ContainsSubstring("probe 1.word_order: a single register has none"));
  CHECK_THAT(complaint("register = 1\nscale = 0\n", modbus), ContainsSubstring("probe 1.scale"));
  const std::string second = "[[probe]]\nname = \"two\"\nplace = \"air\"\nregister = 2\n";
  CHECK_THAT(complaint("register = 1\n", second + modbus),
             ContainsSubstring("probe 2.register: is taken by \"cup\""));
  CHECK(complaint("register = 1\n", second + "function = 3\n" + modbus) == "was taken");
  CHECK_THAT(complaint("register = 1\n", ""), ContainsSubstring("probe 1.register: unknown key"));
}

TEST_CASE("keys of one protocol are refused with another") {
  CHECK_THAT(complaint("register = 1\n", modbus + "keyed = true\n"),
             ContainsSubstring("board.keyed: only for protocol = \"text\""));
  CHECK_THAT(complaint("", "[board]\nbase_name = \"x\"\n"),
             ContainsSubstring("board.base_name: only for protocol = \"senml\""));
  CHECK_THAT(complaint("", senml + "base_name = \"-x\"\n"), ContainsSubstring("board.base_name"));
  CHECK_THAT(complaint("", scpi + "polled = false\n"), ContainsSubstring("board.polled: scpi"));
  CHECK_THAT(complaint("", scpi + "no_reading = \"-1\"\n"), ContainsSubstring("9.91E37"));
  CHECK_THAT(complaint("", "[board]\nprotocol = \"morse\"\n"),
             ContainsSubstring("expected one of text, senml, modbus-rtu, scpi"));
  CHECK_THAT(complaint("", "[board]\nanswer_delay_s = 1\n"), ContainsSubstring("is polled"));
}

TEST_CASE("sensors are read") {
  const Scenario count = taken(
      "sends = \"count\"\nstep_raw = 1\nsensor = { kind = \"thermistor\", beta_K = 3435, at_ohm = "
      "10000, series_ohm = 4700, probe = \"above\", full_scale = 4095 }\n",
      "");
  const auto& thermistor = std::get<ThermistorSettings>(count.probes[0].sensor);
  CHECK(std::get<BetaLaw>(thermistor.law).beta_K == 3435.0);
  REQUIRE(thermistor.divider.has_value());
  CHECK(thermistor.divider->series_ohm == 4700.0);
  CHECK_FALSE(thermistor.divider->probe_below);
  CHECK(count.probes[0].step_K == 0.0);
  const Scenario emf = taken(
      "sends = \"uV\"\nsensor = { kind = \"thermocouple\", type = \"T\", cold = \"board\" }\n",
      "[[probe]]\nname = \"board\"\nplace = \"air\"\n");
  CHECK(std::get<ThermocoupleSettings>(emf.probes[0].sensor).type == ThermocoupleType::T);
  CHECK(emf.probes[0].junction == 1);
  const Scenario ohm = taken(
      "sends = \"ohm\"\nsensor = { kind = \"platinum\", r0_ohm = 1000, wires = 2, lead_ohm = 0.3 "
      "}\n",
      "");
  CHECK(std::get<PlatinumSettings>(ohm.probes[0].sensor).r0_ohm == 1000.0);
}

TEST_CASE("what is wrong with sensors") {
  const auto sensor = [](const std::string& sends, const std::string& keys) {
    return complaint("sends = \"" + sends + "\"\nsensor = { " + keys + " }\n", "");
  };
  CHECK_THAT(complaint("sends = \"ohm\"\n", ""), ContainsSubstring("bench.toml:8: probe 1.sends"));
  CHECK_THAT(sensor("degC", "kind = \"platinum\""), ContainsSubstring("probe 1.sends: degC"));
  CHECK_THAT(sensor("count", "kind = \"platinum\""), ContainsSubstring("probe 1.sends: count"));
  CHECK_THAT(sensor("ohm", "kind = \"ruler\""), ContainsSubstring("probe 1.sensor.kind"));
  CHECK_THAT(sensor("ohm", "r0_ohm = 100"), ContainsSubstring("probe 1.sensor.kind: missing"));
  CHECK_THAT(sensor("ohm", "kind = \"platinum\", colour = 1"),
             ContainsSubstring("probe 1.sensor.colour: unknown key"));
  CHECK_THAT(sensor("ohm", "kind = \"thermistor\", a = 1e-3, b = -2e-4, c = 0"),
             ContainsSubstring("probe 1.sensor.kind"));
  CHECK_THAT(sensor("uV", "kind = \"thermocouple\", type = \"K\""),
             ContainsSubstring("probe 1.sensor.cold"));
  CHECK_THAT(sensor("uV", "kind = \"thermocouple\", type = \"K\", cold = \"x\""),
             ContainsSubstring("no other [[probe]] is named \"x\""));
  CHECK_THAT(sensor("uV", "kind = \"thermocouple\", type = \"K\", cold = \"cup\""),
             ContainsSubstring("no other [[probe]] is named \"cup\""));
  CHECK_THAT(complaint("sends = \"K\"\nstep_K = 0.1\n", ""), ContainsSubstring("step_raw rounds"));
  CHECK_THAT(complaint("step_raw = 0.1\n", ""), ContainsSubstring("see step_K"));
}

TEST_CASE("units that a protocol does not have are refused") {
  CHECK_THAT(complaint("sends = \"degF\"\n", senml), ContainsSubstring("senml has no degF"));
  CHECK_THAT(
      complaint("sends = \"uV\"\nsensor = { kind = \"thermocouple\", cold_degC = 0 }\n", scpi),
      ContainsSubstring("scpi has no uV"));
  CHECK(complaint("sends = \"V\"\nsensor = { kind = \"thermocouple\", cold_degC = 0 }\n", senml) ==
        "was taken");
}

TEST_CASE("faults that mean nothing for the protocol are refused, all others taken") {
  for (const FaultKind& row : fault_kinds()) {
    const std::string fault = "[[fault]]\nat_s = 1\nkind = \"" + std::string(row.name) + "\"\n";
    INFO(row.name);
    const std::string on_text = complaint("", fault);
    const std::string on_modbus = complaint("register = 1\n", modbus + fault);
    CHECK((on_text == "was taken") == row.for_lines);
    CHECK((on_modbus == "was taken") == row.for_modbus);
    if (!row.for_lines) CHECK_THAT(on_text, ContainsSubstring("means nothing for text"));
    if (!row.for_modbus) CHECK_THAT(on_modbus, ContainsSubstring("means nothing for modbus-rtu"));
  }
}

TEST_CASE("probes break and are mended") {
  const Scenario scenario = taken("", R"([[event]]
at_s = 5
what = "break"
probe = "cup"
how = "short"
[[event]]
at_s = 7
what = "mend"
probe = "cup"
)");
  REQUIRE(scenario.events.size() == 2);
  CHECK(std::get<Wires>(scenario.events[0].what).condition == Condition::shorted);
  CHECK(std::get<Wires>(scenario.events[1].what).condition == Condition::whole);
  CHECK_THAT(complaint("",
                       "[[event]]\nat_s = 5\nwhat = \"break\"\nprobe = \"cup\"\nhow = "
                       "\"loud\"\n"),
             ContainsSubstring("event 1.how: expected one of open, short"));
}

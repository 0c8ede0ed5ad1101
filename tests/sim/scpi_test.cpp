// An instrument that speaks SCPI, in the forms of IEEE 488.2 and SCPI-99.
#include "sim/firmware_scpi.hpp"
#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

Scenario instrument() {
  Scenario scenario = two_probes();
  scenario.name = "bath";
  scenario.board.protocol = Protocol::scpi;
  return scenario;
}

constexpr std::string_view cup = "+2.15300000E+01";
constexpr std::string_view room = "-5.00000000E-01";

std::string answer_line(std::string_view text) {
  return std::string(text) + "\n";
}

}  // namespace

TEST_CASE("short and long forms, in any case, and nothing between") {
  const std::string pattern = "MEASure[:SCALar]:TEMPerature?";
  for (const auto* good :
       {"MEAS:TEMP?", "measure:temperature?", "Meas:Scal:Temperature?", "MEASure:SCALar:TEMP?"}) {
    CHECK(scpi_matches(good, pattern));
  }
  for (const auto* bad : {"MEASU:TEMP?", "MEAS:TEMP", "MEAS?", "MEAS:TEMP:DC?", "MEAS::TEMP?",
                          "SCAL:TEMP?", "?", ""}) {
    CHECK_FALSE(scpi_matches(bad, pattern));
  }
  CHECK(scpi_matches("syst:err?", "SYSTem:ERRor[:NEXT]?"));
  CHECK(scpi_matches("SYSTEM:ERROR:NEXT?", "SYSTem:ERRor[:NEXT]?"));
}

TEST_CASE("a header goes on from the path of the one before it") {
  // SCPI-99, volume 1, 6.2.4: traversal of the header tree.
  const auto units = scpi_units(":SYST:ERR?;VERS?;*CLS;ERR?; :READ? ; ;MEAS:TEMP? (@1),X");
  REQUIRE(units.size() == 6);
  CHECK(units[0].header == "SYST:ERR?");
  CHECK(units[1].header == "SYST:VERS?");
  CHECK(units[2].header == "*CLS");
  CHECK(units[3].header == "SYST:ERR?");
  CHECK(units[4].header == "READ?");
  CHECK(units[5].header == "MEAS:TEMP?");
  CHECK(units[5].parameters == "(@1),X");
}

TEST_CASE("channel lists") {
  using List = std::vector<int>;
  CHECK(scpi_channels("", 3) == List{1, 2, 3});
  CHECK(scpi_channels("2", 3) == List{2});
  CHECK(scpi_channels("(@2)", 3) == List{2});
  CHECK(scpi_channels("(@1, 3)", 3) == List{1, 3});
  CHECK(scpi_channels("(@1:3,1)", 3) == List{1, 2, 3, 1});
  for (const auto* bad : {"(@)", "(@1", "1,2", "1:2", "x", "(@1:x)", "(@3:1)", "(@1:99999999999)",
                          "(@-2000000000:2000000000)"}) {
    INFO(bad);
    CHECK_FALSE(scpi_channels(bad, 3).has_value());
  }
}

TEST_CASE("the identity has four fields") {
  FirmwareScpi firmware(instrument());
  Asked asked(firmware, {21.53, -0.5});
  CHECK(asked.with("*idn?\r\n") == "NESTCUP,SIMULATED THERMOMETER,bath,1.0\n");
}

TEST_CASE("MEASure, READ and FETCh give NR3 numbers") {
  FirmwareScpi firmware(instrument());
  Asked asked(firmware, {21.53, -0.5});
  const std::string both = answer_line(std::string(cup) + "," + std::string(room));
  CHECK(asked.with("FETC?\n").empty());
  CHECK(asked.with("SYST:ERR?\n") == "-230,\"Data corrupt or stale\"\n");
  CHECK(asked.with("READ?\n") == both);
  CHECK(asked.with("MEAS:TEMP? (@2)\n") == answer_line(room));
  CHECK(asked.with("MEAS:TEMP? 1\n") == answer_line(cup));
  CHECK(asked.with("MEASURE:TEMPERATURE?\n") == both);
  CHECK(asked.measurements() == 4);
  CHECK(asked.with("FETCH?\n") == both);
  CHECK(asked.measurements() == 4);
}

TEST_CASE("answers of one message are joined by semicolons") {
  FirmwareScpi firmware(instrument());
  Asked asked(firmware, {21.53, -0.5});
  CHECK(asked.with("MEAS:TEMP? 1;:SYST:ERR?;*CLS;*OPC?\n") ==
        answer_line(std::string(cup) + ";0,\"No error\";1"));
}

TEST_CASE("no reading is 9.91E37, overload 9.9E37") {
  FirmwareScpi firmware(instrument());
  Asked asked(firmware, {21.53, -0.5});
  asked.report().channels[0].found = Found::nothing;
  asked.report().channels[1].found = Found::overload;
  CHECK(asked.with("READ?\n") == "+9.91000000E+37,+9.90000000E+37\n");
}

TEST_CASE("errors queue up, are read one by one, and cleared") {
  FirmwareScpi firmware(instrument());
  Asked asked(firmware, {21.53, -0.5});
  CHECK(asked.with("WHAT?\nMEAS:TEMP? (@3)\nMEAS:TEMP? hot\nMEAS:RES? 1\nREAD? 1\n").empty());
  CHECK(asked.with("SYST:ERR?\n") == "-113,\"Undefined header\"\n");
  CHECK(asked.with("SYST:ERR:NEXT?\n") == "-222,\"Data out of range\"\n");
  CHECK(asked.with("SYST:ERR?\n") == "-104,\"Data type error\"\n");
  CHECK(asked.with("SYST:ERR?\n") == "-221,\"Settings conflict\"\n");
  CHECK(asked.with("SYST:ERR?\n") == "-108,\"Parameter not allowed\"\n");
  CHECK(asked.with("SYST:ERR?\n") == "0,\"No error\"\n");
  for (int i = 0; i < 30; ++i) CHECK(asked.with("WHAT?\n").empty());
  for (int i = 0; i < 9; ++i) CHECK(asked.with("SYST:ERR?\n") == "-113,\"Undefined header\"\n");
  CHECK(asked.with("SYST:ERR?\n") == "-350,\"Queue overflow\"\n");
  CHECK(asked.with("WHAT?\n*CLS\nSYST:ERR?\n") == "0,\"No error\"\n");
}

TEST_CASE("channels that send ohm or volt are measured as such") {
  Scenario scenario = instrument();
  scenario.probes[0].sends = RawUnit::ohm;
  scenario.probes[1].sends = RawUnit::volt;
  FirmwareScpi firmware(scenario);
  Asked asked(firmware, {109.7347, 0.001});
  CHECK(asked.with("MEAS:RES? (@1)\n") == "+1.09734700E+02\n");
  CHECK(asked.with("MEAS:VOLT:DC? (@2)\n") == "+1.00000000E-03\n");
  CHECK(asked.with("MEAS:TEMP? (@1)\n").empty());
}

// nestcup convert as scripts and people call it.
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>
#include <vector>

#include "tests/catch.hpp"
#include "tests/tools/typed.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

Outcome convert(const std::string& line) {
  return typed("convert " + line);
}

/// The number under `key`; the key alone tells the unit.
double number(const std::string& line, const std::string& key) {
  const Outcome outcome = convert(line + " --json");
  INFO(line << ": " << outcome.err);
  REQUIRE(outcome.code == 0);
  CHECK(outcome.err.empty());
  const auto json = nlohmann::json::parse(outcome.out);
  REQUIRE(json.contains(key));
  return json.at(key).get<double>();
}

const std::string coefficients = " --a 1.129148e-3 --b 2.34125e-4 --c 8.76741e-8";
const std::string beta = " --beta-K 3950 --at-ohm 10000";
const std::string divider = " --series-ohm 10000 --probe below";

}  // namespace

TEST_CASE("a thermocouple's worked checks come out of the command") {
  // Published worked checks for type K (NIST Monograph 175): see thermocouple_test.cpp.
  CHECK_THAT(number("thermocouple --type K --emf-uV 1100 --cold-degC 23", "degC"),
             WithinAbs(49.90793, 5.001e-6));
  CHECK_THAT(number("thermocouple --type K --emf-mV 1.1 --cold-degC 23", "degC"),
             WithinAbs(49.90793, 5.001e-6));
  CHECK_THAT(number("thermocouple --type K --degC 42", "emf_uV"), WithinAbs(1693.8477, 5.001e-5));
  // Table value of NIST Monograph 175 at -20 degC.
  CHECK_THAT(number("thermocouple --type T --degC -20", "emf_uV"), WithinAbs(-756.838, 5.001e-4));
  CHECK_THAT(number("thermocouple --type T --emf-uV -756.838", "degC"), WithinAbs(-20.0, 1e-4));
  CHECK_THAT(number("thermocouple --type K --degC 42 --cold-degC 42", "emf_uV"),
             WithinAbs(0.0, 1e-9));
}

TEST_CASE("a thermistor by each law, as resistance and in a divider") {
  // Published Steinhart-Hart set, see thermistor_test.cpp.
  CHECK_THAT(number("thermistor --ohm 12493.150" + coefficients, "degC"), WithinAbs(20.0, 1e-5));
  CHECK_THAT(number("thermistor --degC 50" + coefficients, "ohm"), WithinAbs(3601.035, 5.01e-4));
  CHECK_THAT(number("thermistor --ohm 32650" + beta, "degC"), WithinAbs(0.554, 5e-4));
  CHECK_THAT(number("thermistor --ohm 32650 --at-degC 25" + beta, "degC"), WithinAbs(0.554, 5e-4));
  CHECK_THAT(
      number("thermistor --ohm 19549 --point 32128,0 --point 9814,25 --point 3542,50", "degC"),
      WithinAbs(10.0001, 5.01e-5));
  const std::string counted = divider + beta + " --full-scale 1023";
  CHECK_THAT(number("thermistor --count 511.5" + counted, "degC"), WithinAbs(25.0, 1e-9));
  CHECK_THAT(number("thermistor --count 511.5" + counted, "ohm"), WithinAbs(10'000.0, 1e-7));
  CHECK_THAT(number("thermistor --degC 25" + counted, "count"), WithinAbs(511.5, 1e-9));
  CHECK_THAT(number("thermistor --degC 25 --supply-V 3.3" + counted, "voltage_mV"),
             WithinAbs(1650.0, 1e-9));
  CHECK_THAT(number("thermistor --ratio 0.5" + divider + beta, "degC"), WithinAbs(25.0, 1e-9));
  // 2.2 V of 3.3 V across the upper 10 kohm: 5 kohm below.
  CHECK_THAT(
      number("thermistor --voltage-mV 2200 --supply-V 3.3 --series-ohm 10000 --probe above" + beta,
             "ohm"),
      WithinAbs(5'000.0, 1e-7));
  // 0.625 mW over 7.5 mW/K.
  CHECK_THAT(
      number("thermistor --ratio 0.5 --supply-V 5 --dissipation-mW-per-K 7.5" + divider + beta,
             "degC"),
      WithinAbs(25.0 - 0.625 / 7.5, 1e-9));
  CHECK_THAT(
      number("thermistor --ohm 10000 --current-mA 0.25 --dissipation-mW-per-K 7.5" + beta, "degC"),
      WithinAbs(25.0 - 0.625 / 7.5, 1e-9));
}

TEST_CASE("platinum with its leads") {
  // IEC 60751: 109.7347 ohm at 25 degC, 92.1599 ohm at -20 degC; some 0.39 ohm/K.
  CHECK_THAT(number("platinum --ohm 109.7347 --r0 100", "degC"), WithinAbs(25.0, 2e-4));
  CHECK_THAT(number("platinum --ohm 92.1599", "degC"), WithinAbs(-20.0, 2e-4));
  CHECK_THAT(number("platinum --degC 25 --r0 1000", "ohm"), WithinAbs(1097.347, 5.01e-4));
  CHECK_THAT(number("platinum --ohm 110.5347 --wires 2 --lead-ohm 0.4", "degC"),
             WithinAbs(25.0, 2e-4));
  CHECK_THAT(number("platinum --ohm 110.1347 --wires 3 --lead-ohm 0.4", "degC"),
             WithinAbs(25.0, 2e-4));
  CHECK_THAT(number("platinum --degC 25 --wires 2 --lead-ohm 0.4", "ohm"),
             WithinAbs(110.5347, 5.01e-5));
}

TEST_CASE("people are told the number with its unit and what one step of the reading is worth") {
  const Outcome outcome = convert("thermocouple --type K --emf-uV 1100 --cold-degC 23");
  CHECK(outcome.code == 0);
  CHECK_THAT(outcome.out, StartsWith("49.90793 degC\n1 uV is 0.02"));
  CHECK_THAT(outcome.out, ContainsSubstring("K here"));
  const Outcome counts = convert("thermistor --degC 25 --full-scale 1023" + divider + beta);
  CHECK_THAT(counts.out, StartsWith("10000.0000 ohm\n0.5000000 of the supply\n511.500 count\n"));
  // By hand: 10 kohm * 3950 K / (298.15 K)^2 = 444.4 ohm/K, times 1/(40 kohm), times 1023.
  CHECK_THAT(counts.out, ContainsSubstring("1 count is -0.08799 K here\n"));
}

TEST_CASE("wrong calls end with 64 and one line that says what to change") {
  struct Row {
    std::string line;
    const char* told;
  };
  const std::vector<Row> rows{
      {"", "KIND is missing"},
      {"thermistr --ohm 5", "did you mean thermistor?"},
      {"thermocouple --type K", "nothing to convert"},
      {"thermocouple --type K --emf-uV 5 --degC 20", "several numbers"},
      {"thermocouple --emf-uV 5", "--type is missing"},
      {"thermocouple --type k --emf-uV 5", "'k' is not B"},
      {"thermocouple --type K --emf-uV warm", "'warm' is not a number"},
      {"thermocouple --type K --emf-uV nan", "'nan' is not a number"},
      {"thermocouple --type K --ohm 100", "--ohm does not belong to a thermocouple"},
      {"thermocouple --type K --emf-uv 100", "did you mean --emf-uV?"},
      {"platinum --ohm 100 --type K", "--type does not belong to a platinum probe"},
      {"platinum --ohm 100 --a 1", "--a does not belong"},
      {"thermistor --ohm 100 --wires 2" + beta, "--wires does not belong to a thermistor"},
      {"thermistor --ohm 100", "one of three ways"},
      {"thermistor --ohm 100 --a 1e-3 --beta-K 3950 --at-ohm 1e4", "one of three ways"},
      {"thermistor --ohm 100 --a 1e-3 --b 2e-4", "--c is missing"},
      {"thermistor --ohm 100 --point 1,2 --point 2,3", "given 2 times, expected three"},
      {"thermistor --ohm 100 --point 1,2 --point 2,3 --point 4", "'4' is not OHM,DEGC"},
      {"thermistor --count 500" + beta, "--series-ohm is missing"},
      {"thermistor --count 500 --full-scale 1023 --series-ohm 1e4" + beta, "--probe is missing"},
      {"thermistor --count 500" + divider + beta, "--full-scale is missing"},
      {"thermistor --voltage-mV 500" + divider + beta, "--supply-V is missing"},
      {"thermistor --ohm 500" + divider + beta, "--ohm is there, and so is --series-ohm"},
      {"thermistor --ohm 500 --dissipation-mW-per-K 7" + beta, "self-heating needs one of"},
      {"thermistor --ohm 500 --current-mA 7" + beta, "--dissipation-mW-per-K is missing"},
      {"platinum --ohm 100 --r0 -1", "--r0 is -1"},
      {"platinum --ohm 100 --wires 5", "--wires is 5"},
      {"platinum --ohm 100 --lead-ohm 1", "--wires 2 or 3"},
  };
  for (const Row& row : rows) {
    INFO(row.line);
    const Outcome outcome = convert(row.line);
    CHECK(outcome.code == 64);
    CHECK(outcome.out.empty());
    CHECK_THAT(outcome.err, StartsWith("nestcup"));
    CHECK_THAT(outcome.err, ContainsSubstring(row.told));
  }
}

TEST_CASE("numbers that no sound probe gives end with 65 and say what they look like") {
  struct Row {
    std::string line;
    const char* told;
  };
  const std::vector<Row> rows{
      {"thermocouple --type K --emf-uV 99999", "open circuit"},
      {"thermocouple --type K --emf-uV 55000", "out of range"},
      {"thermocouple --type K --degC 1400", "out of range"},
      {"thermocouple --type B --degC 100 --cold-degC -5", "where type B is defined"},
      {"thermistor --count 1023 --full-scale 1023" + divider + beta, "open circuit"},
      {"thermistor --count 0 --full-scale 1023" + divider + beta, "short circuit"},
      {"thermistor --ohm 9e9" + beta, "open circuit"},
      {"thermistor --degC 900" + beta, "out of range"},
      {"thermistor --ohm 12493 --a 1.129148 --b 2.34125e-4 --c 8.76741e-8", "powers of ten"},
      {"thermistor --ohm 100 --point 1,2 --point 2,3 --point 4,5", "falls with temperature"},
      {"platinum --ohm 0.1", "short circuit"},
      {"platinum --ohm 400", "out of range"},
      {"platinum --ohm 1097", "open circuit"},
  };
  for (const Row& row : rows) {
    INFO(row.line);
    const Outcome outcome = convert(row.line + " --json");
    CHECK(outcome.code == 65);
    CHECK(outcome.out.empty());
    CHECK_THAT(outcome.err, StartsWith("nestcup: "));
    CHECK_THAT(outcome.err, ContainsSubstring(row.told));
  }
}

// The same trial through every protocol and sensor: what the board sends, read back by hand, is
// what the probes of one bench read, within the resolution of each.
#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>
#include <nlohmann/json.hpp>
#include <sstream>

#include "drivers/transducer/divider.hpp"
#include "drivers/transducer/thermistor.hpp"
#include "drivers/transducer/thermocouple.hpp"
#include "sim/electronics.hpp"
#include "sim/modbus_frame.hpp"
#include "sim/simulate.hpp"
#include "tests/catch.hpp"
#include "tests/sim/firmware_bench.hpp"
#include "tests/sim/shipped.hpp"

using namespace nestcup;
using namespace nestcup::sim;

namespace {

using Temperatures = std::vector<double>;
/// Asks or listens to a firmware that has just measured, and gives the cup and the added liquid.
using Reader = std::function<Temperatures(Firmware&, const Report&)>;

/// The largest differences (K) between what is read and the probes' own temperatures, cup and
/// added.
Temperatures worst_of(const std::string& name, const Reader& read) {
  const Scenario scenario = shipped(name);
  // The same bench without any rounding.
  Scenario exact = scenario;
  for (ProbeSettings& probe : exact.probes) probe.step_K = 0.0;
  const SimulatedRun truth = simulate(exact, scenario.seed);
  const auto firmware = make_firmware(scenario);
  const Electronics electronics(scenario);
  Bench bench(scenario, scenario.seed);
  Temperatures worst{0.0, 0.0};
  for (std::size_t i = 0; i < truth.time_s.size(); ++i) {
    bench.advance_to(truth.time_s[i]);
    Report report{electronics.measure(bench.read(), bench), truth.time_s[i], 0.0};
    const Temperatures found = read(*firmware, report);
    for (std::size_t probe = 0; probe < 2; ++probe) {
      const double error_K = std::abs(found.at(probe) - truth.probes[probe].temperature_degC[i]);
      worst[probe] = std::max(worst[probe], error_K);
    }
  }
  return worst;
}

std::string asked(Firmware& firmware, const Report& report, const std::string& question) {
  const auto answers = firmware.hear(question, [&report] { return report; });
  return answers.empty() ? "" : answers[0].bytes;
}

/// The numbers of a line, whatever stands between them.
Temperatures numbers_in(std::string line) {
  Temperatures numbers;
  std::replace_if(
      line.begin(), line.end(), [](char c) { return (c < '0' || c > '9') && c != '.' && c != '-'; },
      ' ');
  std::istringstream words(line);
  for (double number = 0.0; words >> number;) numbers.push_back(number);
  return numbers;
}

/// The 32 bits of two registers in an answer, the register that comes first being the high one.
std::uint32_t long_word(const std::string& answer, std::size_t at) {
  std::uint32_t bits = 0;
  for (std::size_t i = at; i < at + 4; ++i) {
    bits = bits << 8U | static_cast<unsigned char>(answer.at(i));
  }
  return bits;
}

double low_word_first(const std::string& answer, std::size_t at) {
  return static_cast<double>(std::bit_cast<float>(std::rotl(long_word(answer, at), 16)));
}

}  // namespace

TEST_CASE("the same trial in SenML") {
  const auto worst = worst_of("one-trial-senml", [](Firmware& firmware, const Report& report) {
    const auto pack = nlohmann::json::parse(firmware.report(report));
    return Temperatures{pack.at(0).at("v"), pack.at(1).at("v")};
  });
  CHECK(worst[0] < 0.005 + 1e-9);
  CHECK(worst[1] < 0.005 + 1e-9);
}

TEST_CASE("the same trial through Modbus RTU, floats with the low word first") {
  const auto worst =
      worst_of("one-trial-modbus-float", [](Firmware& firmware, const Report& report) {
        const std::string answer =
            asked(firmware, report, modbus_frame(bytes_of("0B 04 00 00 00 04")));
        return Temperatures{low_word_first(answer, 3), low_word_first(answer, 7)};
      });
  // A float of 24 bits has steps of 3.8e-6 K between 32 and 64.
  CHECK(worst[0] < 0.005 + 4e-6);
  CHECK(worst[1] < 0.005 + 4e-6);
}

TEST_CASE("the same trial through Modbus RTU, scaled whole numbers of two devices") {
  const auto worst = worst_of("one-trial-modbus-int", [](Firmware& firmware, const Report& report) {
    const std::string cup = asked(firmware, report, modbus_frame(bytes_of("03 03 00 64 00 01")));
    const std::string added = asked(firmware, report, modbus_frame(bytes_of("04 04 00 07 00 02")));
    // One register, taken together with the two bytes before it.
    const auto hundredths = static_cast<std::int16_t>(long_word(cup, 1) & 0xFFFFU);
    const auto thousandths = static_cast<std::int32_t>(long_word(added, 3));
    return Temperatures{hundredths * 0.01, thousandths * 0.001};
  });
  CHECK(worst[0] < 0.005 + 1e-9);
  CHECK(worst[1] < 0.0005 + 1e-9);
}

TEST_CASE("the same trial through SCPI") {
  const auto worst = worst_of("one-trial-scpi", [](Firmware& firmware, const Report& report) {
    const auto at = [&](const char* question) {
      return std::stod(asked(firmware, report, question));
    };
    return Temperatures{at("MEAS:TEMP? (@1)\n"), at("MEAS:TEMP? (@2)\n")};
  });
  CHECK(worst[0] < 0.005 + 1e-9);
  CHECK(worst[1] < 0.005 + 1e-9);
}

TEST_CASE("the same trial in counts of a thermistor's divider") {
  const Scenario scenario = shipped("one-trial-thermistor");
  const auto worst = worst_of("one-trial-thermistor", [&](Firmware& firmware,
                                                          const Report& report) {
    const Temperatures counts = numbers_in(firmware.report(report));
    Temperatures found;
    for (std::size_t i = 0; i < 2; ++i) {
      const auto& sensor = std::get<ThermistorSettings>(scenario.probes[i].sensor);
      const double ratio = drivers::divider_ratio(*sensor.divider, counts.at(i));
      const auto law = drivers::steinhart_hart(sensor.law);
      REQUIRE(law.ok());
      found.push_back(drivers::thermistor_degC(*law, drivers::divider_ohm(*sensor.divider, ratio)));
    }
    return found;
  });
  // Half a count: d(ratio)/dT is about beta / T^2 / 4 = 0.011 per K, a little less at 40 degC.
  CHECK(worst[0] < 0.5 / 16777215.0 / 0.009);
  CHECK(worst[1] < 0.5 / 65535.0 / 0.009);
  CHECK(worst[1] > 0.1 / 65535.0 / 0.011);
}

TEST_CASE("the same trial in microvolts of thermocouples, with their cold junction") {
  const auto worst =
      worst_of("one-trial-thermocouple", [](Firmware& firmware, const Report& report) {
        const Temperatures sent = numbers_in(firmware.report(report));
        return Temperatures{
            drivers::thermocouple_degC(ThermocoupleType::K, sent.at(0), sent.at(2)).value_or(NAN),
            drivers::thermocouple_degC(ThermocoupleType::T, sent.at(1), sent.at(2)).value_or(NAN)};
      });
  // Half a step of 0.1 uV at 40 uV/K, and the junction's own reading: five sigma of 2 mK and half a
  // step of 1 mK.
  CHECK(worst[0] < 0.05 / 40.0 + 0.0105);
  CHECK(worst[1] < 0.05 / 40.0 + 0.0105);
}

// nestcup convert: one conversion by hand, to check a wiring.
#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "drivers/transducer/divider.hpp"
#include "drivers/transducer/transducer.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/convert/request.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using drivers::Transducer;
using drivers::TransducerFault;

/// A number that leaves, under its key with the unit.
struct ConvertedNumber {
  std::string key;
  std::string unit;
  double value;
  int decimals;
};

/// What to look at, for the faults that a number typed by hand can have.
Error no_temperature(const ConvertRequest& asked, TransducerFault fault) {
  const std::string given = asked.degC ? fmt::format("{} degC", *asked.degC)
                                       : fmt::format("{} {}", *asked.raw, unit_name(asked.unit));
  const char* advice = "";
  switch (fault) {
    case TransducerFault::open_circuit:
      advice = "so reads a probe that is not connected: look for a broken wire or loose terminal";
      break;
    case TransducerFault::short_circuit:
      advice = "so reads a probe whose wires touch: look at the connector and at damp places";
      break;
    default:
      advice = "beyond what this probe can measure: check the number, its unit and the wiring";
  }
  return {Fault::bad_data, fmt::format("{}: {}; {}", given, drivers::fault_text(fault), advice)};
}

std::optional<Divider> divider_of(const TransducerSettings& settings) {
  if (const auto* const thermistor = std::get_if<ThermistorSettings>(&settings)) {
    return thermistor->divider;
  }
  const auto* const platinum = std::get_if<PlatinumSettings>(&settings);
  return platinum == nullptr ? std::nullopt : platinum->divider;
}

/// What the probe gives at a temperature, in each form that its wiring has.
std::vector<ConvertedNumber> raw_figures(const ConvertRequest& asked, double raw) {
  if (std::holds_alternative<ThermocoupleSettings>(asked.settings)) {
    return {{"emf_uV", "uV", raw, 3}};
  }
  const auto divider = divider_of(asked.settings);
  if (!divider) return {{"ohm", "ohm", raw, 4}};
  std::vector<ConvertedNumber> figures{{"ohm", "ohm", drivers::divider_ohm(*divider, raw), 4},
                                       {"ratio", "of the supply", raw, 7}};
  if (asked.full_scale) figures.push_back({"count", "count", raw * *asked.full_scale, 3});
  if (asked.supply_V) figures.push_back({"voltage_mV", "mV", raw * *asked.supply_V * 1e3, 4});
  return figures;
}

Result<std::vector<ConvertedNumber>> figures_of(const ConvertRequest& asked,
                                                const Transducer& transducer) {
  const drivers::Conversion found =
      asked.degC ? transducer.to_raw(*asked.degC) : transducer.to_degC(*asked.raw);
  const double* const number = std::get_if<double>(&found);
  if (number == nullptr) return no_temperature(asked, std::get<TransducerFault>(found));
  if (asked.degC) return raw_figures(asked, *number);
  std::vector<ConvertedNumber> figures{{"degC", "degC", *number, 5}};
  if (const auto divider = divider_of(asked.settings)) {
    const double ratio = drivers::divider_ratio(*divider, *asked.raw);
    figures.push_back({"ohm", "ohm", drivers::divider_ohm(*divider, ratio), 4});
  }
  return figures;
}

/// "1 count is -0.098 K here", where the neighbourhood is within the range.
std::string worth_text(const ConvertRequest& asked, const Transducer& transducer, double degC) {
  constexpr double aside_K = 0.01;
  const auto low = transducer.to_raw(degC - aside_K);
  const auto high = transducer.to_raw(degC + aside_K);
  const double* const low_raw = std::get_if<double>(&low);
  const double* const high_raw = std::get_if<double>(&high);
  if (low_raw == nullptr || high_raw == nullptr || *low_raw == *high_raw) return "";
  double unit_K = 2.0 * aside_K / (*high_raw - *low_raw);
  std::string unit(unit_name(asked.unit));
  if (asked.unit == RawUnit::ratio && asked.full_scale) {
    unit_K /= *asked.full_scale;
    unit = "count";
  } else if (asked.unit == RawUnit::ratio) {
    unit_K /= 1000.0;
    unit = "thousandth of the supply";
  }
  return fmt::format("1 {} is {:.4g} K here\n", unit, unit_K);
}

int run_convert(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto asked = read_conversion(parsed);
  if (!asked) return cli::report_error(streams, asked.error());
  const auto transducer = Transducer::make(asked->settings, asked->unit);
  if (!transducer) {
    return cli::report_error(streams, {Fault::bad_data, transducer.error().text});
  }
  const auto figures = figures_of(*asked, *transducer);
  if (!figures) return cli::report_error(streams, figures.error());
  if (parsed.flag("json")) {
    nlohmann::ordered_json json;
    for (const ConvertedNumber& figure : *figures) json[figure.key] = figure.value;
    streams.out << json.dump() << '\n';
    return 0;
  }
  for (const ConvertedNumber& figure : *figures) {
    streams.out << fmt::format("{:.{}f} {}\n", figure.value, figure.decimals, figure.unit);
  }
  streams.out << worth_text(*asked, *transducer, asked->degC.value_or(figures->front().value));
  return 0;
}

std::vector<cli::Example> examples() {
  return {{"nestcup convert thermocouple --type K --emf-uV 1100 --cold-degC 23",
           "what the junction has, the amplifier's terminals being at 23 degC"},
          {"nestcup convert thermocouple --type K --degC 42",
           "which voltage a type K should give at 42 degC, cold junction in ice"},
          {"nestcup convert thermistor --ohm 12493 --a 1.129148e-3 --b 2.34125e-4 --c 8.76741e-8",
           "a thermistor by Steinhart-Hart"},
          {"nestcup convert thermistor --degC 25 --beta-K 3950 --at-ohm 10000 --series-ohm 10000 "
           "--probe below --full-scale 1023",
           "which count a divider should give, and what one count is worth"},
          {"nestcup convert thermistor --ohm 12262 --point 32128,0 --point 9814,25 --point 3542,50",
           "a thermistor by three points of its table"},
          {"nestcup convert platinum --ohm 109.7347 --r0 100", "a Pt100"},
          {"nestcup convert platinum --ohm 110.53 --wires 2 --lead-ohm 0.4",
           "a Pt100 on two wires of 0.4 ohm each"}};
}

}  // namespace

cli::CommandSpec convert_command() {
  cli::CommandSpec command;
  command.name = "convert";
  command.summary = "convert one raw value of a probe by hand, to check a wiring";
  command.description = {
      "Turns what a thermocouple, thermistor or platinum probe gives into a temperature, as the "
      "daemon would, or with --degC a temperature into what the probe should give. Prints also "
      "what one unit of the reading is worth, for choosing a resistor or a converter.",
      "Thermocouples follow the ITS-90 reference functions (NIST Monograph 175, IEC 60584-1), with "
      "the cold junction compensated in voltage; platinum follows IEC 60751. A number that no "
      "sound probe gives is an error that says what it looks like: open, short or out of range."};
  command.options = convert_options();
  command.options.push_back(json_option());
  command.arguments = {{"KIND",
                        "thermocouple, thermistor or platinum",
                        1,
                        1,
                        {cli::Hint::words, {"thermocouple", "thermistor", "platinum"}}}};
  command.examples = examples();
  command.exit_notes = {{65, "no sound probe gives this number, or the law is none"}};
  command.run = run_convert;
  return command;
}

}  // namespace nestcup

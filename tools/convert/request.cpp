#include "tools/convert/request.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <string_view>

#include "core/base/nearest.hpp"
#include "tools/convert/probe.hpp"

namespace nestcup {

namespace {

using Words = std::vector<std::string>;

const Words kinds{"thermocouple", "thermistor", "platinum"};
const Words for_couples{"type", "emf-uV", "emf-mV", "cold-degC"};
const Words for_thermistors{"a", "b", "c", "beta-K", "at-ohm", "at-degC", "point"};
const Words for_platinum{"r0", "wires", "lead-ohm"};
const Words for_resistances{
    "ohm",   "count",      "ratio",    "voltage-mV",           "series-ohm",
    "probe", "full-scale", "supply-V", "dissipation-mW-per-K", "current-mA"};

bool has(const Words& words, const std::string& word) {
  return std::find(words.begin(), words.end(), word) != words.end();
}

Result<void> check_belongs(const cli::Parsed& parsed, const std::string& kind) {
  const auto refuse = [&](const Words& options) -> Result<void> {
    for (const std::string& name : options) {
      if (parsed.flag(name)) {
        return usage_error(
            fmt::format("option --{} does not belong to a {}; see nestcup convert --help", name,
                        kind == "platinum" ? "platinum probe" : kind));
      }
    }
    return {};
  };
  if (kind != "thermocouple") {
    if (auto checked = refuse(for_couples); !checked) return checked;
  } else if (auto checked = refuse(for_resistances); !checked) {
    return checked;
  }
  if (kind != "thermistor") {
    if (auto checked = refuse(for_thermistors); !checked) return checked;
  }
  return kind == "platinum" ? Result<void>{} : refuse(for_platinum);
}

Divider* divider_of(TransducerSettings& settings) {
  if (auto* const thermistor = std::get_if<ThermistorSettings>(&settings)) {
    return thermistor->divider ? &*thermistor->divider : nullptr;
  }
  auto* const platinum = std::get_if<PlatinumSettings>(&settings);
  return platinum != nullptr && platinum->divider ? &*platinum->divider : nullptr;
}

/// The one number to convert.
void read_number(Numbers& numbers, const std::string& kind, ConvertRequest& asked) {
  struct Input {
    const char* option;
    RawUnit unit;
  };
  constexpr std::array<Input, 7> inputs{{{"emf-uV", RawUnit::microvolt},
                                         {"emf-mV", RawUnit::millivolt},
                                         {"ohm", RawUnit::ohm},
                                         {"count", RawUnit::count},
                                         {"ratio", RawUnit::ratio},
                                         {"voltage-mV", RawUnit::millivolt},
                                         {"degC", RawUnit::degC}}};
  int given = 0;
  const bool has_divider = divider_of(asked.settings) != nullptr;
  for (const Input& input : inputs) {
    if (!numbers.given(input.option)) continue;
    ++given;
    if (input.unit == RawUnit::degC) {
      asked.degC = numbers.find("degC");
      asked.unit = kind == "thermocouple" ? RawUnit::microvolt
                   : has_divider          ? RawUnit::ratio
                                          : RawUnit::ohm;
    } else {
      asked.raw = numbers.find(input.option);
      asked.unit = input.unit;
    }
  }
  if (given != 1) {
    numbers.keep(usage_error(fmt::format(
        "{} to convert, expected one of {} and --degC",
        given == 0 ? "there is nothing" : "there are several numbers",
        kind == "thermocouple" ? "--emf-uV, --emf-mV" : "--ohm, --count, --ratio, --voltage-mV")));
  }
}

cli::OptionSpec number_option(std::string name, std::string help, std::string default_text = {}) {
  return {.name = std::move(name),
          .value_name = "NUMBER",
          .help = std::move(help),
          .default_text = std::move(default_text)};
}

}  // namespace

std::vector<cli::OptionSpec> convert_options() {
  return {
      number_option("degC", "a temperature, to be turned into what the probe gives"),
      {.name = "type",
       .value_name = "LETTER",
       .help = "thermocouple: its type",
       .complete = {cli::Hint::words, {"B", "E", "J", "K", "N", "R", "S", "T"}}},
      number_option("emf-uV", "thermocouple: measured voltage in microvolt"),
      number_option("emf-mV", "thermocouple: the same in millivolt"),
      number_option("cold-degC", "thermocouple: temperature of the cold junction", "0"),
      number_option("ohm", "thermistor, platinum: measured resistance"),
      number_option("count", "divider: reading of the converter (--full-scale)"),
      number_option("ratio", "divider: output over supply, 0 to 1"),
      number_option("voltage-mV", "divider: output in millivolt (--supply-V)"),
      number_option("series-ohm", "divider: the known resistor"),
      {.name = "probe",
       .value_name = "SIDE",
       .help = "divider: the probe is below (to ground) or above (to the supply)",
       .complete = {cli::Hint::words, {"below", "above"}}},
      number_option("full-scale", "divider: count that stands for the whole supply"),
      number_option("supply-V", "divider: voltage across resistor and probe"),
      number_option("a", "thermistor: 1/T = a + b ln R + c (ln R)^3, T in K, R in ohm"),
      number_option("b", "thermistor: see --a"),
      number_option("c", "thermistor: see --a"),
      number_option("beta-K", "thermistor: beta, with --at-ohm"),
      number_option("at-ohm", "thermistor: resistance at --at-degC"),
      number_option("at-degC", "thermistor: temperature of --at-ohm", "25"),
      {.name = "point",
       .value_name = "PAIR",
       .help = "thermistor: a point of its table as OHM,DEGC; three of them",
       .repeatable = true},
      number_option("r0", "platinum: resistance at 0 degC", "100"),
      number_option("wires", "platinum: 2, 3 or 4", "4"),
      number_option("lead-ohm", "platinum: one lead; counts twice with 2 wires, once with 3"),
      number_option("dissipation-mW-per-K", "take off what the current warms the probe by"),
      number_option("current-mA", "current through the probe, where no divider gives it"),
  };
}

Result<ConvertRequest> read_conversion(const cli::Parsed& parsed) {
  const std::string kind = parsed.text("KIND").value_or("");
  if (!has(kinds, kind)) {
    const auto meant = nearest(kind, kinds);
    return usage_error(
        fmt::format("'{}' is no kind of probe, expected thermocouple, thermistor or "
                    "platinum{}",
                    kind, meant ? fmt::format("; did you mean {}?", *meant) : ""));
  }
  if (auto belongs = check_belongs(parsed, kind); !belongs) return belongs.error();
  ConvertRequest asked;
  Numbers numbers(parsed);
  if (kind == "thermocouple") {
    asked.settings = read_couple(numbers);
  } else {
    read_resistance(numbers, kind, asked);
  }
  read_number(numbers, kind, asked);
  if (numbers.error()) return *numbers.error();
  if (Divider* const divider = divider_of(asked.settings)) {
    if (asked.unit == RawUnit::count) divider->full_scale = *asked.full_scale;
    if (asked.unit == RawUnit::millivolt) divider->full_scale = 1e3 * *asked.supply_V;
  }
  return asked;
}

}  // namespace nestcup

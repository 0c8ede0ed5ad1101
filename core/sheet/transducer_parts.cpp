#include "core/sheet/transducer_parts.hpp"

#include <fmt/format.h>

#include <array>

#include "core/sheet/thermistor_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 3> kind_names{"thermistor", "thermocouple", "platinum"};
const std::array<std::string, 8> type_names{"B", "E", "J", "K", "N", "R", "S", "T"};
const std::array<std::string, 2> side_names{"below", "above"};

/// Where amplifiers and their terminals work; type B's function begins at 0 degC.
constexpr double lowest_cold_degC = -50.0;
constexpr double highest_cold_degC = 150.0;

std::optional<Divider> read_divider(TomlSection& section, RawUnit unit) {
  const bool is_given = has_any(section, {"series_ohm", "probe", "full_scale"});
  const bool is_wanted = unit != RawUnit::ohm && !is_temperature(unit);
  make_known(section, {"series_ohm", "probe", "full_scale"});
  if (!is_given && !is_wanted) return std::nullopt;
  if (!is_wanted) {
    section.problem(fmt::format(
        "has a divider (series_ohm, probe, full_scale), but the unit is \"{}\", expected "
        "\"count\", "
        "\"ratio\", \"mV\", \"uV\" or \"V\"; say what the device sends, or leave those keys out",
        unit_name(unit)));
  }
  Divider divider;
  if (!section.has("series_ohm")) {
    section.problem("series_ohm",
                    "is missing, expected the known resistor in series with the probe, such as "
                    "10000.0 (measured, if it can be)");
  }
  divider.series_ohm =
      section.number("series_ohm", any_resistance_ohm).value_or(divider.series_ohm);
  if (!section.has("probe")) {
    section.problem("probe",
                    "is missing, expected \"below\" (probe between output and ground) or \"above\" "
                    "(between supply and output)");
  }
  divider.probe_below = section.choice("probe", side_names) != 1U;
  if (!section.has("full_scale") && is_wanted && unit != RawUnit::ratio) {
    const bool is_count = unit == RawUnit::count;
    section.problem(
        "full_scale",
        fmt::format("is missing, expected the reading in {} that stands for the whole "
                    "supply{}",
                    unit_name(unit), is_count ? ", such as 1023 for a 10-bit converter" : ""));
  }
  divider.full_scale = section.number("full_scale", {0.0, 5e9, true}).value_or(divider.full_scale);
  return divider;
}

std::optional<SelfHeating> read_self_heating(TomlSection& section, bool has_divider) {
  const auto dissipation = section.number("dissipation_mW_per_K", {0.0, 1e4, true});
  const auto supply = section.number("supply_V", {0.0, 60.0, true});
  const auto current = section.number("current_mA", {0.0, 100.0, true});
  const bool has_supply = section.has("supply_V");
  const bool has_current = section.has("current_mA");
  if (!section.has("dissipation_mW_per_K")) {
    if (has_supply || has_current) {
      section.problem(has_supply ? "supply_V" : "current_mA",
                      "says what heats the probe, expected dissipation_mW_per_K beside it (7 is "
                      "common for a small bead in stirred liquid); leave both out to take "
                      "nothing off");
    }
    return std::nullopt;
  }
  if (has_supply == has_current) {
    section.problem("dissipation_mW_per_K",
                    "needs the current that heats the probe, expected either supply_V (across "
                    "divider and probe) or current_mA (through the probe)");
  } else if (has_supply && !has_divider) {
    section.problem("supply_V",
                    "is there without a divider, expected current_mA, the current through the "
                    "probe");
  }
  if (!dissipation) return std::nullopt;
  return SelfHeating{*dissipation, supply.value_or(0.0), current.value_or(0.0)};
}

ThermistorSettings read_thermistor(TomlSection& section, RawUnit unit) {
  ThermistorSettings thermistor;
  thermistor.law = read_thermistor_law(section);
  thermistor.divider = read_divider(section, unit);
  thermistor.self_heating = read_self_heating(section, thermistor.divider.has_value());
  return thermistor;
}

ThermocoupleSettings read_thermocouple(TomlSection& section, bool& has_cold_channel) {
  ThermocoupleSettings couple;
  if (const auto type = section.required_choice("type", type_names)) {
    couple.type = static_cast<ThermocoupleType>(*type);
  }
  has_cold_channel = section.table("cold").has_value();
  const double lowest_degC = couple.type == ThermocoupleType::B ? 0.0 : lowest_cold_degC;
  couple.cold_degC = section.number("cold_degC", {lowest_degC, highest_cold_degC});
  if (section.has("cold") && section.has("cold_degC")) {
    section.problem("cold_degC", "is there, and so is cold, expected one of them");
  } else if (!section.has("cold") && !section.has("cold_degC")) {
    section.problem("cold_degC",
                    "is missing, expected the temperature of the cold junction (where the "
                    "thermocouple's wires end), or cold = {...}, the channel that measures it");
  }
  return couple;
}

PlatinumSettings read_platinum(TomlSection& section, RawUnit unit) {
  PlatinumSettings platinum;
  platinum.r0_ohm = section.number("r0_ohm", {1.0, 1e5}).value_or(platinum.r0_ohm);
  platinum.wires = section.whole("wires", 2, 4).value_or(platinum.wires);
  platinum.lead_ohm = section.number("lead_ohm", {0.0, 1e3}).value_or(platinum.lead_ohm);
  if (section.has("lead_ohm") && platinum.wires == 4) {
    section.problem("lead_ohm",
                    "is there, but four wires measure without their leads, expected wires = 2 or "
                    "wires = 3 beside it");
  }
  platinum.divider = read_divider(section, unit);
  platinum.self_heating = read_self_heating(section, platinum.divider.has_value());
  return platinum;
}

/// What to write where a device sends this unit and nothing says what makes it a temperature.
std::string_view example_for(RawUnit unit) {
  switch (unit) {
    case RawUnit::ohm:
      return "transducer = { kind = \"thermistor\", beta_K = 3950.0, at_ohm = 10000.0 } or "
             "transducer = { kind = \"platinum\", r0_ohm = 100.0 }";
    case RawUnit::microvolt:
    case RawUnit::millivolt:
    case RawUnit::volt:
      return "transducer = { kind = \"thermocouple\", type = \"K\", cold_degC = 22.0 }, or a "
             "thermistor with its divider";
    default:
      return "transducer = { kind = \"thermistor\", beta_K = 3950.0, at_ohm = 10000.0, series_ohm "
             "= 10000.0, probe = \"below\", full_scale = 1023.0 }";
  }
}

void check_unit(TomlSection& section, const TransducerSettings& settings, RawUnit unit) {
  if (unit_fits(settings, unit)) return;
  if (std::holds_alternative<ThermocoupleSettings>(settings)) {
    section.problem("kind", fmt::format("is \"thermocouple\", but the probe's unit is \"{}\", "
                                        "expected unit = \"uV\", \"mV\" or \"V\"",
                                        unit_name(unit)));
  } else if (is_temperature(unit)) {
    section.problem(fmt::format(
        "is there, but the probe's unit is \"{}\", a temperature already, expected unit = \"ohm\", "
        "\"count\", \"ratio\", \"mV\" or whatever the device sends; or leave the transducer out",
        unit_name(unit)));
  }
}

}  // namespace

TransducerPart read_transducer(TomlSection& probe_section, RawUnit unit) {
  TransducerPart part;
  const bool is_there = probe_section.has("transducer");
  auto section = probe_section.table("transducer");
  if (!is_there && !is_temperature(unit)) {
    probe_section.problem("unit", fmt::format("is \"{}\", which is no temperature yet, expected "
                                              "beside it {}",
                                              unit_name(unit), example_for(unit)));
  }
  if (!section) return part;
  const auto kind = section->required_choice("kind", kind_names);
  if (!kind) return part;  // which keys belong here depends on it
  if (*kind == 0) part.settings = read_thermistor(*section, unit);
  if (*kind == 1) part.settings = read_thermocouple(*section, part.has_cold_channel);
  if (*kind == 2) part.settings = read_platinum(*section, unit);
  check_unit(*section, part.settings, unit);
  section->refuse_other_keys();
  return part;
}

}  // namespace nestcup

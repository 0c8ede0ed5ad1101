#include "core/sheet/transducer_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace nestcup {

namespace {

const std::array<std::string, 3> kind_names{"thermistor", "thermocouple", "platinum"};
const std::array<std::string, 8> type_names{"B", "E", "J", "K", "N", "R", "S", "T"};
const std::array<std::string, 2> side_names{"below", "above"};

constexpr NumberRange any_resistance_ohm{0.0, 1e9, true};
constexpr NumberRange any_probe_degC{-200.0, 850.0};
/// Where amplifiers and their terminals work; type B's function begins at 0 degC.
constexpr double lowest_cold_degC = -50.0;
constexpr double highest_cold_degC = 150.0;

bool has_any(const TomlSection& section, std::initializer_list<std::string_view> keys) {
  return std::any_of(keys.begin(), keys.end(),
                     [&](std::string_view key) { return section.has(key); });
}

/// Asks for absent keys, so that a slip in writing them is answered with what was meant.
void make_known(TomlSection& section, std::initializer_list<std::string_view> keys) {
  for (const std::string_view key : keys) {
    if (!section.has(key)) (void)section.text(key);
  }
}

void read_pair(TomlSection& section, const toml::node& entry, ThermistorPoints::Pair& pair) {
  const toml::array* const both = entry.as_array();
  const bool are_numbers =
      both != nullptr && both->size() == 2 &&
      std::all_of(both->begin(), both->end(), [](const toml::node& n) { return n.is_number(); });
  if (!are_numbers) {
    section.problem("points", "holds something else than a pair of numbers, expected [ohm, degC]");
    return;
  }
  pair = {*both->get(0)->value<double>(), *both->get(1)->value<double>()};
  const bool possible = pair.ohm > 0.0 && pair.ohm <= any_resistance_ohm.highest &&
                        pair.degC >= any_probe_degC.lowest && pair.degC <= any_probe_degC.highest;
  if (!possible) {
    section.problem(
        "points", fmt::format("holds [{}, {}], expected [ohm, degC] with a positive "
                              "resistance and {} to {} degC",
                              pair.ohm, pair.degC, any_probe_degC.lowest, any_probe_degC.highest));
  }
}

ThermistorPoints read_points(TomlSection& section) {
  ThermistorPoints points;
  const toml::array* const list = section.array("points");
  if (list == nullptr) return points;
  if (list->size() != points.pairs.size()) {
    section.problem("points",
                    fmt::format("has {} entries, expected three pairs [ohm, degC]", list->size()));
    return points;
  }
  for (std::size_t i = 0; i < points.pairs.size(); ++i) {
    read_pair(section, *list->get(i), points.pairs[i]);
  }
  auto sorted = points.pairs;
  std::sort(sorted.begin(), sorted.end(), [](auto& p, auto& q) { return p.ohm < q.ohm; });
  for (std::size_t i = 1; i < sorted.size(); ++i) {
    if (sorted[i].ohm <= 0.0 || sorted[i - 1].ohm <= 0.0) continue;  // noted already
    if (sorted[i].ohm > sorted[i - 1].ohm && sorted[i].degC < sorted[i - 1].degC) continue;
    section.problem(
        "points",
        fmt::format("[{}, {}] and [{}, {}] do not fall, expected a resistance that "
                    "falls with temperature, three different points as [ohm, degC]",
                    sorted[i - 1].ohm, sorted[i - 1].degC, sorted[i].ohm, sorted[i].degC));
    break;
  }
  return points;
}

void read_law(TomlSection& section, ThermistorSettings& thermistor) {
  make_known(section, {"a", "b", "c", "beta_K", "at_ohm", "at_degC", "points"});
  const bool has_coefficients = has_any(section, {"a", "b", "c"});
  const bool has_beta = has_any(section, {"beta_K", "at_ohm", "at_degC"});
  const bool has_points = section.has("points");
  if (static_cast<int>(has_coefficients) + static_cast<int>(has_beta) +
          static_cast<int>(has_points) !=
      1) {
    section.problem(fmt::format(
        "{} what law it follows, expected one of: a, b and c (Steinhart-Hart), or beta_K and "
        "at_ohm, or points = [[ohm, degC], ...], three of them",
        has_coefficients || has_beta || has_points ? "says in more than one way" : "does not say"));
  }
  if (has_coefficients) {
    SteinhartHart law;
    law.a = section.required_number("a", {-0.1, 0.1});
    law.b = section.required_number("b", {0.0, 0.1, true});
    law.c = section.required_number("c", {-1e-4, 1e-4});
    thermistor.law = law;
  }
  if (has_beta) {
    BetaLaw law;
    law.beta_K = section.required_number("beta_K", {500.0, 20'000.0});
    law.at_ohm = section.required_number("at_ohm", any_resistance_ohm);
    law.at_degC = section.number("at_degC", any_probe_degC).value_or(law.at_degC);
    thermistor.law = law;
  }
  if (has_points) thermistor.law = read_points(section);
}

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
  read_law(section, thermistor);
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

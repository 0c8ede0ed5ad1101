// What was noted by hand in a trial: the heater's figures, and runs on paper.
#include <fmt/format.h>

#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

constexpr double longest_s = 1e6;

/// A pair [seconds after mixing, degC], later than the one before.
std::optional<TypedReading> read_pair(const toml::node& node, double last_s) {
  const toml::array* const pair = node.as_array();
  const bool is_pair = pair != nullptr && pair->size() == 2 && pair->get(0)->is_number() &&
                       pair->get(1)->is_number();
  if (!is_pair) return std::nullopt;
  const double time_s = *pair->get(0)->value<double>();
  const double degC = *pair->get(1)->value<double>();
  // Written so that NaN is refused, too.
  const bool is_sound = time_s > last_s && time_s <= longest_s && degC >= liquid_degC.lowest &&
                        degC <= liquid_degC.highest;
  return is_sound ? std::optional(TypedReading{time_s, degC}) : std::nullopt;
}

std::vector<TypedReading> read_readings(TomlSection& section) {
  std::vector<TypedReading> readings;
  const toml::array* const list = section.array("readings");
  if (list == nullptr) return readings;
  if (list->size() < 2) section.problem("readings", "has too few pairs, expected at least two");
  for (const toml::node& node : *list) {
    const auto reading = read_pair(node, readings.empty() ? 0.0 : readings.back().after_mixing_s);
    if (!reading) {
      section.problem("readings",
                      fmt::format("has a wrong pair {}, expected [seconds after "
                                  "mixing, degC] with rising times and {} to {} degC",
                                  readings.size() + 1, liquid_degC.lowest, liquid_degC.highest));
      return readings;
    }
    readings.push_back(*reading);
  }
  return readings;
}

TypedTrial read_one(TomlSection& section) {
  TypedTrial typed;
  typed.cup_degC = section.required_number("cup_degC", liquid_degC);
  typed.added_degC = section.number("added_degC", any_temperature_degC);
  typed.final_degC = section.number("final_degC", liquid_degC);
  typed.u_degC = section.number("u_degC", {0.0, 100.0, true});
  typed.readings = read_readings(section);
  check_one_of(section, "final_degC", "readings");
  section.refuse_other_keys();
  return typed;
}

}  // namespace

Heater read_heater(TomlSection section) {
  Heater heater;
  heater.voltage_V = section.required_number("voltage_V", positive_amount);
  heater.current_A = section.required_number("current_A", positive_amount);
  heater.time_s = section.required_number("time_s", positive_amount);
  heater.u_voltage_V = section.number("u_voltage_V", positive_amount);
  heater.u_current_A = section.number("u_current_A", positive_amount);
  heater.u_time_s = section.number("u_time_s", positive_amount);
  section.refuse_other_keys();
  return heater;
}

std::vector<TypedTrial> read_typed(TomlSection& trial_section) {
  std::vector<TypedTrial> all;
  for (TomlSection& section : trial_section.one_or_more("typed")) {
    all.push_back(read_one(section));
  }
  return all;
}

}  // namespace nestcup

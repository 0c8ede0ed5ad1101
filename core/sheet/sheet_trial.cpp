// A [[trial]] of a sheet.
#include <fmt/format.h>

#include <array>

#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 5> purposes{"calorimeter constant", "reaction", "heat capacity",
                                          "fusion", "electrical calibration"};

/// Exactly one of two keys is there; notes it otherwise.
void check_one_of(TomlSection& section, std::string_view one, std::string_view other) {
  if (section.has(one) == section.has(other)) {
    section.problem(fmt::format("has {} {} {} {}, expected one of them",
                                section.has(one) ? "both" : "neither", one,
                                section.has(one) ? "and" : "nor", other));
  }
}

Contents read_contents(TomlSection section, const SheetNames& names) {
  Contents contents;
  contents.substance = section.text("substance").value_or("");
  contents.stock = section.text("stock").value_or("");
  check_one_of(section, "substance", "stock");
  if (!contents.stock.empty()) {
    check_known(section, "stock", contents.stock, names.stocks, "[[stock]]");
  }
  contents.volume_mL = section.number("volume_mL", positive_amount);
  contents.mass_g = section.number("mass_g", positive_amount);
  check_one_of(section, "volume_mL", "mass_g");
  contents.temperature_degC = section.number("temperature_degC", any_temperature_degC);
  (void)section.number("u_volume_mL", positive_amount);
  (void)section.number("u_mass_g", positive_amount);
  if (const auto by = section.text("by")) {
    check_known(section, "by", *by, names.instruments, "[[instrument]]");
  }
  section.refuse_other_keys();
  return contents;
}

Heater read_heater(TomlSection section) {
  Heater heater;
  heater.voltage_V = section.required_number("voltage_V", positive_amount);
  heater.current_A = section.required_number("current_A", positive_amount);
  heater.time_s = section.required_number("time_s", positive_amount);
  section.refuse_other_keys();
  return heater;
}

/// readings = [[seconds after mixing, degC], ...] with rising times.
void check_typed_readings(TomlSection& section) {
  const toml::array* const readings = section.array("readings");
  if (readings == nullptr) return;
  if (readings->size() < 2) section.problem("readings", "has too few pairs, expected at least two");
  std::optional<double> last_s;
  for (std::size_t i = 0; i < readings->size(); ++i) {
    const toml::array* const pair = readings->get(i)->as_array();
    const bool is_pair = pair != nullptr && pair->size() == 2 && pair->get(0)->is_number() &&
                         pair->get(1)->is_number();
    const auto time_s = is_pair ? pair->get(0)->value<double>() : std::nullopt;
    const auto degC = is_pair ? pair->get(1)->value<double>() : std::nullopt;
    const bool is_sound = is_pair && *time_s > last_s.value_or(0.0) && *time_s <= 1e6 &&
                          *degC >= any_temperature_degC.lowest &&
                          *degC <= any_temperature_degC.highest;
    if (!is_sound) {
      section.problem("readings", fmt::format("has a wrong pair {}, expected [seconds after "
                                              "mixing, degC] with rising times",
                                              i + 1));
      return;
    }
    last_s = time_s;
  }
}

void check_typed(TomlSection section) {
  (void)section.required_number("cup_degC", any_temperature_degC);
  (void)section.number("added_degC", any_temperature_degC);
  (void)section.number("final_degC", any_temperature_degC);
  check_typed_readings(section);
  check_one_of(section, "final_degC", "readings");
  section.refuse_other_keys();
}

}  // namespace

std::string purpose_text(Purpose purpose) {
  return purposes[static_cast<std::size_t>(purpose)];
}

SheetTrial read_trial(TomlSection& section, const SheetNames& names) {
  SheetTrial trial;
  trial.name = section.required_text("name", "a short name, such as \"warm\"");
  if (const auto purpose = section.required_choice("purpose", purposes)) {
    trial.purpose = static_cast<Purpose>(*purpose);
  }
  trial.equation = section.text("equation").value_or("");
  if (auto contents = section.table("cup")) trial.cup = read_contents(*contents, names);
  if (auto contents = section.table("added")) trial.added = read_contents(*contents, names);
  if (auto heater = section.table("heater")) trial.heater = read_heater(*heater);
  if (auto typed = section.table("typed")) check_typed(*typed);
  if (trial.purpose == Purpose::electrical_calibration && !section.has("heater")) {
    section.problem("heater",
                    "is missing, expected heater = { voltage_V = 9.6, current_A = 1.37, "
                    "time_s = 100.0 } for this purpose");
  }
  section.refuse_other_keys();
  return trial;
}

}  // namespace nestcup

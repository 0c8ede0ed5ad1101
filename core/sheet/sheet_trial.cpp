// The [[trial]] tables of a sheet.
#include <fmt/format.h>

#include <array>

#include "core/sheet/sheet_matter.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 5> purposes{"calorimeter constant", "reaction", "heat capacity",
                                          "fusion", "electrical calibration"};
constexpr int most_repeats = 1000;

void read_reference(TomlSection& section, SheetTrial& trial) {
  trial.reference_kJ_per_mol =
      section.number("reference_kJ_per_mol", {-largest_kJ_per_mol, largest_kJ_per_mol});
  trial.u_reference_kJ_per_mol =
      section.number("u_reference_kJ_per_mol", {0.0, largest_kJ_per_mol, true});
  check_belongs(section, "u_reference_kJ_per_mol", "reference_kJ_per_mol");
  check_belongs(section, "reference_kJ_per_mol", "equation");
  if (trial.reference_kJ_per_mol == 0.0) {
    section.problem("reference_kJ_per_mol", "is 0, expected a reaction that gives or takes heat");
  }
}

void read_matter(TomlSection& section, const Sheet& sheet, bool any_solid, SheetTrial& trial) {
  if (const auto equation = section.text("equation")) {
    trial.equation = equation_of(section, "equation", *equation);
  }
  read_reference(section, trial);
  if (auto cup = section.table("cup")) {
    trial.cup = read_contents(*cup, sheet, liquid_degC, false);
  }
  if (auto added = section.table("added")) {
    trial.added = read_contents(*added, sheet, any_temperature_degC, any_solid);
  }
}

SheetTrial read_trial(TomlSection& section, SheetReading& reading) {
  const Sheet& sheet = reading.sheet;
  SheetTrial trial;
  trial.line = section.line();
  trial.name = required_line(section, "name", "a short name, such as \"warm\"");
  check_new_name(section, trial.name, sheet.trials);
  const auto purpose = section.required_choice("purpose", purposes);
  if (purpose) trial.purpose = static_cast<Purpose>(*purpose);
  // Where the purpose is not known, nothing is said of names that some purpose allows.
  const bool any_solid = !purpose || trial.purpose == Purpose::heat_capacity;
  read_matter(section, sheet, any_solid, trial);
  if (auto heater = section.table("heater")) trial.heater = read_heater(*heater);
  trial.typed = read_typed(section);
  trial.repeats = section.whole("repeats", 1, most_repeats);
  section.refuse_other_keys();
  if (purpose) check_purpose(section, trial);
  reading.knows_purposes = reading.knows_purposes && purpose.has_value();
  return trial;
}

}  // namespace

std::string purpose_text(Purpose purpose) {
  return purposes[static_cast<std::size_t>(purpose)];
}

void read_trials(SheetReading& reading) {
  reading.trials = reading.file.tables("trial");
  for (TomlSection& section : reading.trials) {
    reading.sheet.trials.push_back(read_trial(section, reading));
    if (reading.knows_stocks) check_supply(section, reading.sheet.trials.back(), reading.sheet);
  }
}

}  // namespace nestcup

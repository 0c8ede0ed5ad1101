// What each purpose of a trial needs, and what it has no use for.
#include <fmt/format.h>

#include "core/sheet/sheet_matter.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

constexpr double warmest_ice_degC = 1.0;  ///< as an uncalibrated probe may show melting ice

/// Notes a missing or a senseless key.
void demand(TomlSection& section, std::string_view key, const SheetTrial& trial,
            std::string_view example) {
  if (section.has(key)) return;
  section.problem(key, fmt::format("is missing, expected {} for a trial of purpose \"{}\"", example,
                                   purpose_text(trial.purpose)));
}

void refuse(TomlSection& section, std::string_view key, const SheetTrial& trial) {
  if (!section.has(key)) return;
  section.problem(key, fmt::format("has no place in a trial of purpose \"{}\"; leave it out",
                                   purpose_text(trial.purpose)));
}

void demand_vessels(TomlSection& section, const SheetTrial& trial, std::string_view added) {
  demand(section, "cup", trial,
         "what the cup holds, such as cup = { substance = \"water\", volume_mL = 50.0 },");
  demand(section, "added", trial, added);
}

/// The probe and the stirrer stand in the cup: a liquid must be there.
void check_cup(TomlSection& section, const SheetTrial& trial) {
  if (!trial.cup || !trial.cup->substance || !is_solid(*trial.cup->substance)) return;
  section.problem("cup", "holds a solid, expected a liquid, with the solid in added");
}

/// Warm into cold water, unless there is a reference reaction.
void check_constant(TomlSection& section, const SheetTrial& trial) {
  demand_vessels(section, trial,
                 "what is poured into the cup, such as added = { substance = \"water\", volume_mL "
                 "= 50.0 },");
  if (section.has("equation")) return;
  for (const auto& [key, contents] : {std::pair("cup", &trial.cup), {"added", &trial.added}}) {
    if (!*contents) continue;
    const bool other =
        (*contents)->stock || ((*contents)->substance && !is_water(*(*contents)->substance));
    if (other) {
      section.problem(key,
                      "is no water, expected water in both vessels, or the equation of the "
                      "reference reaction");
    }
  }
}

void check_solid(TomlSection& section, const SheetTrial& trial) {
  demand_vessels(section, trial,
                 "the hot solid, such as added = { substance = \"brass block\", mass_g = 60.0 },");
  if (!trial.added) return;
  const bool liquid =
      trial.added->stock || (trial.added->substance && !is_solid(*trial.added->substance));
  if (liquid || trial.added->volume_mL) {
    section.problem("added",
                    "is no solid by mass, expected such as added = { substance = \"brass "
                    "block\", mass_g = 60.0 }");
  }
}

void check_ice(TomlSection& section, const SheetTrial& trial) {
  demand_vessels(section, trial,
                 "the ice, such as added = { substance = \"ice\", mass_g = 12.0 },");
  if (!trial.added) return;
  const bool no_ice =
      trial.added->stock || (trial.added->substance && !is_ice(*trial.added->substance));
  if (no_ice) {
    section.problem("added", "is no ice, expected substance = \"ice\" and its mass_g");
  } else if (trial.added->temperature_degC.value_or(0.0) > warmest_ice_degC) {
    section.problem("added", fmt::format("is ice at {} degC, expected 0 degC or less",
                                         *trial.added->temperature_degC));
  }
}

/// A run on paper whose added content is hot needs its temperature from somewhere.
void check_typed_added(TomlSection& section, const SheetTrial& trial) {
  const bool is_hot = trial.purpose == Purpose::heat_capacity ||
                      (trial.purpose == Purpose::calorimeter_constant && !section.has("equation"));
  if (!is_hot || !trial.added || trial.added->temperature_degC) return;
  for (const TypedTrial& typed : trial.typed) {
    if (typed.added_degC) continue;
    section.problem("typed",
                    "has no added_degC, expected the temperature of what was added, here "
                    "or as temperature_degC of added");
    return;
  }
}

}  // namespace

void check_purpose(TomlSection& section, const SheetTrial& trial) {
  switch (trial.purpose) {
    case Purpose::calorimeter_constant:
      check_constant(section, trial);
      break;
    case Purpose::reaction:
      demand(section, "equation", trial, "such as \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\"");
      demand_vessels(section, trial,
                     "what is put into the cup, such as added = { substance = \"MgO(s)\", mass_g = "
                     "0.7 },");
      break;
    case Purpose::heat_capacity:
      check_solid(section, trial);
      break;
    case Purpose::fusion:
      check_ice(section, trial);
      break;
    case Purpose::electrical_calibration:
      demand(section, "cup", trial, "what the cup holds");
      demand(section, "heater", trial,
             "heater = { voltage_V = 9.6, current_A = 1.37, time_s = 100.0 }");
      refuse(section, "added", trial);
      break;
  }
  check_cup(section, trial);
  const bool reacts =
      trial.purpose == Purpose::reaction || trial.purpose == Purpose::calorimeter_constant;
  if (!reacts) refuse(section, "equation", trial);
  if (trial.purpose != Purpose::electrical_calibration) refuse(section, "heater", trial);
  if (trial.purpose != Purpose::calorimeter_constant) {
    refuse(section, "reference_kJ_per_mol", trial);
  }
  check_typed_added(section, trial);
}

}  // namespace nestcup

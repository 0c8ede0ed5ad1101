// The single tables of a sheet. Internal to the room.
#pragma once

#include <algorithm>
#include <string>
#include <vector>

#include "core/sheet/sheet.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup {

/// A sheet while it is read, with what later checks must know of earlier ones: what a wrong value
/// leaves open is not told a second time.
struct SheetReading {
  TomlSection& file;
  Sheet& sheet;
  std::vector<TomlSection> trials;  ///< as in sheet.trials
  bool names_constant = false;      ///< [calorimeter] tries to give the constant
  bool knows_stocks = true;         ///< each [[stock]] was sound
  bool knows_purposes = true;       ///< each [[trial]] has a purpose
};

/// No molar enthalpy of a sheet is larger.
inline constexpr double largest_kJ_per_mol = 1e5;

/// [calorimeter] and [conventions], where the sheet has them.
void read_calorimeter(SheetReading& reading);
void read_conventions(SheetReading& reading);
/// Every [[instrument]] and [[stock]]; names are unique within their kind.
void read_instruments(SheetReading& reading);
void read_stocks(SheetReading& reading);
/// Every [[trial]], with all that can be said of it alone.
void read_trials(SheetReading& reading);
/// [cycle]; it uses the names of the trials.
void read_cycle(SheetReading& reading);
/// What only the whole sheet shows: a calorimeter constant from somewhere, room in the vessel.
void check_whole(SheetReading& reading);

/// What stands for the vessel in the inline table `cup` or `added`.
/// @param temperature  what the vessel's can be, degC
/// @param any_solid    a solid may have a mere name ("brass block"): its heat capacity is wanted
[[nodiscard]] Contents read_contents(TomlSection section, const Sheet& sheet,
                                     NumberRange temperature, bool any_solid);
[[nodiscard]] Heater read_heater(TomlSection section);
/// `typed` of a trial: one inline table or a list of them.
[[nodiscard]] std::vector<TypedTrial> read_typed(TomlSection& trial_section);
/// What the purpose needs and has no use for. @param section  the trial's
void check_purpose(TomlSection& section, const SheetTrial& trial);

/// Temperatures that a cup's liquid can have, degC: cooling mixtures to oils.
inline constexpr NumberRange liquid_degC{-40.0, 150.0};

/// The text at `key`, empty where there is none; notes line ends and other control characters.
[[nodiscard]] std::string one_line(TomlSection& section, std::string_view key);
/// The same of a text that must be there; `hint` says what it is, with an example.
[[nodiscard]] std::string required_line(TomlSection& section, std::string_view key,
                                        std::string_view hint);
/// Exactly one of two keys is there; notes it otherwise.
void check_one_of(TomlSection& section, std::string_view one, std::string_view other);
/// Notes where `key` is there without the key that it says something of.
void check_belongs(TomlSection& section, std::string_view key, std::string_view owner);

/// The words for a name that is there twice, and for one that is not there.
[[nodiscard]] std::string twice_text(const std::string& name);
[[nodiscard]] std::string unknown_text(const std::string& name,
                                       const std::vector<std::string>& known,
                                       std::string_view kind);

/// Notes where `name` is in `named` already.
template <class Named>
void check_new_name(TomlSection& section, const std::string& name,
                    const std::vector<Named>& named) {
  const bool taken = std::any_of(named.begin(), named.end(),
                                 [&](const Named& other) { return other.name == name; });
  if (taken && !name.empty()) section.problem("name", twice_text(name));
}

/// The index of the one that the text at `key` names; notes where there is none.
/// @param kind  how it is written in the file: "[[stock]]"
template <class Named>
[[nodiscard]] std::optional<std::size_t> index_of(TomlSection& section, std::string_view key,
                                                  const std::string& name,
                                                  const std::vector<Named>& named,
                                                  std::string_view kind) {
  std::vector<std::string> known;
  for (const Named& one : named) {
    if (one.name == name) return known.size();
    known.push_back(one.name);
  }
  section.problem(key, unknown_text(name, known, kind));
  return std::nullopt;
}

}  // namespace nestcup

// The single tables of a sheet. Internal to the room.
#pragma once

#include <string>
#include <vector>

#include "core/sheet/sheet_file.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup {

/// Names that the trials of a sheet may refer to.
struct SheetNames {
  std::vector<std::string> instruments;
  std::vector<std::string> stocks;
};

/// Reads every [[instrument]] and [[stock]]; names are unique within their kind.
[[nodiscard]] SheetNames read_names(TomlSection& file);
/// [calorimeter], where the sheet has one.
void read_calorimeter(TomlSection& file, Sheet& sheet);
/// A [[trial]].
[[nodiscard]] SheetTrial read_trial(TomlSection& section, const SheetNames& names);
/// [cycle] and [conventions]: checked for form; [cycle] may use the names of `sheet.trials`.
void check_cycle(TomlSection& file, const Sheet& sheet);
void check_conventions(TomlSection& file);

/// Notes where `name` is in `taken` already, and adds it.
void take_name(TomlSection& section, const std::string& name, std::vector<std::string>& taken);
/// Notes where `name` (the value of `key`) is none of `known`.
void check_known(TomlSection& section, std::string_view key, const std::string& name,
                 const std::vector<std::string>& known, std::string_view kind);

}  // namespace nestcup

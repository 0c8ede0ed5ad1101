// The tables of a sheet beside its trials.
#include "core/sheet/sheet_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "core/base/nearest.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 2> calibrations{"to deliver", "to contain"};

void read_instrument(TomlSection& section, SheetNames& names) {
  const std::string name = section.required_text("name", "a name, such as \"cylinder\"");
  take_name(section, name, names.instruments);
  (void)section.number("u_volume_mL", positive_amount);
  (void)section.choice("calibrated", calibrations);
  section.refuse_other_keys();
}

void read_stock(TomlSection& section, SheetNames& names) {
  const std::string name = section.required_text("name", "a name, such as \"acid\"");
  take_name(section, name, names.stocks);
  (void)section.required_text("substance", "what is dissolved, such as \"HCl(aq)\"");
  (void)section.required_number("concentration_mol_per_L", positive_amount);
  (void)section.number("u_concentration_mol_per_L", positive_amount);
  section.refuse_other_keys();
}

}  // namespace

void take_name(TomlSection& section, const std::string& name, std::vector<std::string>& taken) {
  if (name.empty()) return;
  if (std::find(taken.begin(), taken.end(), name) != taken.end()) {
    section.problem("name", fmt::format("\"{}\" is there twice, expected each only once", name));
  }
  taken.push_back(name);
}

void check_known(TomlSection& section, std::string_view key, const std::string& name,
                 const std::vector<std::string>& known, std::string_view kind) {
  if (std::find(known.begin(), known.end(), name) != known.end()) return;
  const auto meant = nearest(name, known);
  section.problem(key, fmt::format("\"{}\" is no {} of this sheet, expected {}{}", name, kind,
                                   known.empty() ? "one to be added" : listed(known),
                                   meant ? fmt::format("; did you mean \"{}\"?", *meant) : ""));
}

SheetNames read_names(TomlSection& file) {
  SheetNames names;
  for (TomlSection& section : file.tables("instrument")) read_instrument(section, names);
  for (TomlSection& section : file.tables("stock")) read_stock(section, names);
  return names;
}

void read_calorimeter(TomlSection& file, Sheet& sheet) {
  auto section = file.table("calorimeter");
  if (!section) return;
  (void)section->text("kind");
  sheet.constant_J_per_K = section->number("constant_J_per_K", {0.0, 1e6});
  (void)section->number("u_constant_J_per_K", positive_amount);
  section->refuse_other_keys();
}

void check_cycle(TomlSection& file, const Sheet& sheet) {
  auto section = file.table("cycle");
  if (!section) return;
  (void)section->required_text("target", "the equation wanted in the end");
  std::vector<std::string> trials;
  for (const SheetTrial& trial : sheet.trials) trials.push_back(trial.name);
  if (!section->has("from")) {
    section->problem("from", "is missing, expected a list of names of trials");
  }
  for (const std::string& name : section->texts("from")) {
    check_known(*section, "from", name, trials, "[[trial]]");
  }
  (void)section->texts("accepted");
  section->refuse_other_keys();
}

void check_conventions(TomlSection& file) {
  auto section = file.table("conventions");
  if (!section) return;
  (void)section->number("density_g_per_mL", positive_amount);
  (void)section->number("heat_capacity_J_per_g_K", positive_amount);
  section->refuse_other_keys();
}

}  // namespace nestcup

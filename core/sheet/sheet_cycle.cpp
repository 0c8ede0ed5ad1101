// [cycle]: what is to be added up.
#include <fmt/format.h>

#include "core/sheet/sheet_matter.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

void read_from(SheetReading& reading, TomlSection& section, Cycle& cycle) {
  const auto names = section.texts("from");
  if (!section.has("from")) {
    section.problem("from", "is missing, expected a list of names of trials");
  }
  for (const std::string& name : names) {
    const auto index = index_of(section, "from", name, reading.sheet.trials, "[[trial]]");
    if (!index) continue;
    // A trial whose equation could not be read has had its word.
    if (!reading.trials[*index].has("equation")) {
      section.problem("from",
                      fmt::format("\"{}\" has no equation, expected trials that have one", name));
    }
    if (std::find(cycle.from.begin(), cycle.from.end(), *index) != cycle.from.end()) {
      section.problem("from", twice_text(name));
    }
    cycle.from.push_back(*index);
  }
}

void read_value(TomlSection& section, Cycle& cycle) {
  cycle.accepted_kJ_per_mol =
      section.number("accepted_kJ_per_mol", {-largest_kJ_per_mol, largest_kJ_per_mol});
  cycle.u_accepted_kJ_per_mol =
      section.number("u_accepted_kJ_per_mol", {0.0, largest_kJ_per_mol, true});
  check_belongs(section, "u_accepted_kJ_per_mol", "accepted_kJ_per_mol");
}

}  // namespace

void read_cycle(SheetReading& reading) {
  auto section = reading.file.table("cycle");
  if (!section) return;
  Cycle cycle;
  cycle.line = section->line();
  const std::string target = section->required_text("target", "the equation wanted in the end");
  if (!target.empty()) {
    if (const auto found = equation_of(*section, "target", target)) cycle.target = *found;
  }
  read_from(reading, *section, cycle);
  for (const std::string& text : section->texts("accepted")) {
    if (const auto found = equation_of(*section, "accepted", text)) {
      cycle.accepted.push_back(*found);
    }
  }
  read_value(*section, cycle);
  cycle.base = one_line(*section, "base");
  section->refuse_other_keys();
  reading.sheet.cycle = std::move(cycle);
}

}  // namespace nestcup

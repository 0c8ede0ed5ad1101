#include "core/sheet/sheet_matter.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "core/matter/substances.hpp"

namespace nestcup {

namespace {

/// Water at the phase given.
bool is_h2o(const Formula& formula, Phase phase) {
  return formula.charge == 0 && formula.phase == phase &&
         formula.atoms == std::map<std::string, int>{{"H", 2}, {"O", 1}};
}

void add_all(const Contents& contents, const Sheet& sheet, std::vector<std::string>& supplied) {
  const auto add = [&](const std::string& species) {
    const auto there = std::find(supplied.begin(), supplied.end(), species);
    if (there == supplied.end()) supplied.push_back(species);
  };
  if (contents.substance) add(contents.substance->text);
  if (!contents.stock) return;
  const Formula& dissolved = sheet.stocks[*contents.stock].substance;
  for (const Particle& ion : dissociated(dissolved)) add(ion.species.text);
  add(dissolved.text);
  add("H2O(l)");
}

bool is_told(const std::optional<Contents>& contents) {
  return contents && (contents->substance || contents->stock);
}

}  // namespace

std::optional<Formula> known_substance(const std::string& text) {
  const auto found = substance(text);
  return found ? std::optional(*found) : std::nullopt;
}

std::optional<Formula> substance_of(TomlSection& section, std::string_view key,
                                    const std::string& text) {
  const auto found = substance(text);
  if (!found) {
    section.problem(key, found.error().text);
    return std::nullopt;
  }
  if (!found->phase) {
    section.problem(key,
                    fmt::format("\"{}\" has no phase, expected (s), (l) or (aq) behind it", text));
    return std::nullopt;
  }
  return *found;
}

std::optional<Equation> equation_of(TomlSection& section, std::string_view key,
                                    const std::string& text) {
  const auto found = balanced_equation(text);
  if (!found) {
    section.problem(key, found.error().text);
    return std::nullopt;
  }
  const bool changes = std::any_of(found->left.begin(), found->left.end(), [&](const Term& term) {
    return net_coefficient(*found, term.species) != 0;
  });
  if (!changes) section.problem(key, "has the same on both sides, expected a change");
  return *found;
}

void check_supply(TomlSection& section, const SheetTrial& trial, const Sheet& sheet) {
  // What is missing or could not be read has had its word.
  if (!trial.equation || !is_told(trial.cup) || !is_told(trial.added)) return;
  std::vector<std::string> supplied;
  add_all(*trial.cup, sheet, supplied);
  add_all(*trial.added, sheet, supplied);
  for (const Term& term : trial.equation->left) {
    const std::string& wanted = term.species.text;
    if (std::find(supplied.begin(), supplied.end(), wanted) != supplied.end()) continue;
    section.problem("equation", fmt::format("wants {}, which neither cup nor added supplies: they "
                                            "supply {}",
                                            wanted, fmt::join(supplied, ", ")));
  }
}

bool is_solid(const Formula& formula) {
  return formula.phase == Phase::solid;
}

bool is_dissolved(const Formula& formula) {
  return formula.phase == Phase::aqueous;
}

bool is_water(const Formula& formula) {
  return is_h2o(formula, Phase::liquid);
}

bool is_ice(const Formula& formula) {
  return is_h2o(formula, Phase::solid);
}

}  // namespace nestcup

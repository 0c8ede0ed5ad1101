#include "core/matter/accepted.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <utility>

#include "core/base/nearest.hpp"
#include "core/matter/formation_sum.hpp"
#include "core/matter/net_change.hpp"

namespace nestcup {

namespace {

std::string names_of(const Bases& bases) {
  std::vector<std::string> names;
  for (const AcceptedBase* const base : bases) names.push_back(base->name);
  return fmt::format("{}", fmt::join(names, " and "));
}

std::vector<std::string> sources_of(const Bases& bases) {
  std::vector<std::string> sources;
  for (const AcceptedBase* const base : bases) {
    sources.push_back(base->name + ": " + base->source);
  }
  return sources;
}

std::optional<double> heat_capacity_change(const AcceptedTable& table, const NetChange& change) {
  double sum = 0.0;
  for (const auto& [species, amount] : change) {
    const auto found = table.heat_capacity_J_per_mol_K.find(species);
    if (found == table.heat_capacity_J_per_mol_K.end()) return std::nullopt;
    sum += to_double(amount) * found->second;
  }
  return sum;
}

bool has_dissolved(const NetChange& change) {
  return std::any_of(change.begin(), change.end(),
                     [](const auto& entry) { return entry.first.ends_with("(aq)"); });
}

std::vector<AcceptedReaction> matching_reactions(const AcceptedTable& table,
                                                 const NetChange& change) {
  std::vector<AcceptedReaction> found;
  for (const KnownReaction& known : table.reactions) {
    const auto multiple = multiple_of(change, net_change(known.equation));
    if (!multiple) continue;
    AcceptedReaction match{
        known.equation.text, *multiple,        known.value, known.molality_mol_per_kg,
        known.at_degC,       known.conditions, known.source};
    match.value.kJ_per_mol *= to_double(*multiple);
    if (match.value.u_kJ_per_mol) *match.value.u_kJ_per_mol *= std::abs(to_double(*multiple));
    found.push_back(std::move(match));
  }
  return found;
}

/// "NH3(l) (there are NH3(aq), NH3(g))", or the nearest species where it is known in no phase.
std::string missing_text(const AcceptedTable& table, const std::string& species) {
  std::set<std::string> known(table.zero.begin(), table.zero.end());
  for (const AcceptedBase& base : table.bases) {
    for (const auto& [name, value] : base.formation) known.insert(name);
  }
  const auto formula = parse_formula(species);
  std::vector<std::string> in_other_phases;
  for (const Phase phase : {Phase::solid, Phase::liquid, Phase::gas, Phase::aqueous}) {
    if (!formula) break;
    const std::string other = in_phase(*formula, phase).text;
    if (known.contains(other)) in_other_phases.push_back(other);
  }
  if (!in_other_phases.empty()) {
    return fmt::format("{} (there is {})", species, fmt::join(in_other_phases, ", "));
  }
  // Phases are left out, so that short formulas do not seem near for having the same one.
  std::vector<std::string> bare;
  for (const std::string& name : known) bare.push_back(name.substr(0, name.rfind('(')));
  const auto near = nearest(formula ? in_phase(*formula, std::nullopt).text : species, bare);
  if (!near) return species;
  const auto at = std::find(bare.begin(), bare.end(), *near) - bare.begin();
  return fmt::format("{} (nearest: {})", species, *std::next(known.begin(), at));
}

Error none_known(const AcceptedTable& table, const Equation& equation, const FormationSum& sum) {
  std::vector<std::string> texts;
  for (const std::string& species : sum.missing) texts.push_back(missing_text(table, species));
  return {Fault::no_input,
          fmt::format("\"{}\": no accepted value, since the table does not have {}", equation.text,
                      fmt::join(texts, ", "))};
}

/// The value for the reference as it is written itself.
AcceptedValue of_reference(const AcceptedReaction& reaction) {
  const double multiplier = to_double(reaction.multiplier);
  AcceptedValue value{reaction.value.kJ_per_mol / multiplier, reaction.value.u_kJ_per_mol};
  if (value.u_kJ_per_mol) *value.u_kJ_per_mol /= std::abs(multiplier);
  return value;
}

/// What is accepted without formation enthalpies: the first reference that holds at infinite
/// dilution and 25 degC, else the first.
AcceptedEnthalpy from_reactions(const NetChange& change, std::vector<AcceptedReaction> reactions) {
  const auto plain = [](const AcceptedReaction& reaction) {
    return !reaction.molality_mol_per_kg && reaction.at_degC == 25.0;
  };
  auto best = std::find_if(reactions.begin(), reactions.end(), plain);
  if (best == reactions.end()) best = reactions.begin();
  AcceptedEnthalpy accepted;
  accepted.value = best->value;
  accepted.parts = {{"reaction " + best->equation + ", " + best->conditions, best->multiplier,
                     of_reference(*best)}};
  accepted.base = "reference reaction";
  accepted.at_degC = best->at_degC;
  accepted.infinite_dilution = has_dissolved(change) && !best->molality_mol_per_kg;
  accepted.sources = {best->source};
  accepted.reactions = std::move(reactions);
  return accepted;
}

AcceptedEnthalpy from_sum(const AcceptedTable& table, const NetChange& change,
                          const FormationSum& sum) {
  AcceptedEnthalpy accepted;
  accepted.value = sum.value;
  accepted.parts = sum.parts;
  accepted.base = names_of(sum.used);
  accepted.infinite_dilution = has_dissolved(change);
  accepted.sources = sources_of(sum.used);
  accepted.delta_Cp_J_per_mol_K = heat_capacity_change(table, change);
  if (accepted.delta_Cp_J_per_mol_K) accepted.sources.push_back(table.heat_capacity_source);
  return accepted;
}

/// The base of this name, or whose name begins so; null where none was asked for.
Result<const AcceptedBase*> asked_base(const AcceptedTable& table,
                                       std::optional<std::string_view> name) {
  if (!name) return nullptr;
  std::vector<std::string> names;
  for (const AcceptedBase& base : table.bases) {
    if (!name->empty() && edit_distance(*name, base.name.substr(0, name->size())) == 0) {
      return &base;
    }
    names.push_back(base.name);
  }
  const auto near = nearest(*name, names);
  return Error{Fault::usage, fmt::format("\"{}\" is no base of the table{}; it has {}", *name,
                                         near ? fmt::format(", did you mean {}?", *near) : "",
                                         fmt::join(names, ", "))};
}

}  // namespace

Result<AcceptedEnthalpy> accepted_enthalpy(const AcceptedTable& table, const Equation& equation,
                                           std::optional<std::string_view> base) {
  const auto asked = asked_base(table, base);
  if (!asked) return asked.error();
  if (const auto balanced = check_balance(equation); !balanced) return balanced.error();
  const NetChange change = net_change(equation);
  if (change.empty()) {
    return Error{Fault::bad_data, fmt::format("equation \"{}\": nothing changes, both sides hold "
                                              "the same",
                                              equation.text)};
  }
  auto reactions = matching_reactions(table, change);
  const std::vector<FormationSum> consistent = consistent_sums(table, change);
  const auto [best, mixed] = best_sum(table, change, consistent, *asked);
  if (!best.missing.empty()) {
    if (reactions.empty()) return none_known(table, equation, best);
    return from_reactions(change, std::move(reactions));
  }
  if (*asked != nullptr &&
      std::find(best.used.begin(), best.used.end(), *asked) == best.used.end()) {
    return Error{Fault::no_input,
                 fmt::format("\"{}\": {} has none of what reacts here; without it there is {}",
                             equation.text, (*asked)->name, names_of(best.used))};
  }
  AcceptedEnthalpy accepted = from_sum(table, change, best);
  accepted.mixed = mixed;
  accepted.reactions = std::move(reactions);
  for (const FormationSum& sum : consistent) {
    const bool same =
        std::is_permutation(sum.used.begin(), sum.used.end(), best.used.begin(), best.used.end());
    if (same) continue;
    accepted.other_bases.push_back({names_of(sum.used), sum.value, sources_of(sum.used)});
  }
  return accepted;
}

Result<AcceptedEnthalpy> accepted_enthalpy(const Equation& equation,
                                           std::optional<std::string_view> base) {
  const auto& table = accepted_table();
  if (!table) return table.error();
  if (equation.text.empty()) return accepted_enthalpy(*table, equation, base);
  // A class asks for the same few equations once a run: adding up exact fractions takes longer than
  // all else about a run.
  using Asked = std::pair<std::string, std::string>;
  thread_local std::map<Asked, Result<AcceptedEnthalpy>> known;
  constexpr std::size_t at_most = 256;
  Asked asked{equation.text, base ? "base " + std::string(*base) : ""};
  if (const auto found = known.find(asked); found != known.end()) return found->second;
  if (known.size() >= at_most) known.clear();
  return known.emplace(std::move(asked), accepted_enthalpy(*table, equation, base)).first->second;
}

std::vector<std::string> accepted_bases() {
  std::vector<std::string> names;
  if (const auto& table = accepted_table()) {
    for (const AcceptedBase& base : table->bases) names.push_back(base.name);
  }
  return names;
}

}  // namespace nestcup

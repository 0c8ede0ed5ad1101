#include "core/chemistry/closure.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>

#include "core/chemistry/accepted_values.hpp"
#include "core/chemistry/cycle.hpp"

namespace nestcup {

namespace {

using Words = std::vector<std::pair<std::string, std::string>>;

void say(ResultNotes& notes, const std::string& code, Severity severity, const std::string& text,
         const Words& words = {}) {
  notes.add({code, severity, "", text, words});
}

std::vector<Equation> equations_of(const Sheet& sheet) {
  std::vector<Equation> equations;
  for (const std::size_t trial : sheet.cycle->from) {
    equations.push_back(*sheet.trials[trial].equation);
  }
  equations.insert(equations.end(), sheet.cycle->accepted.begin(), sheet.cycle->accepted.end());
  return equations;
}

std::string name_of(const Sheet& sheet, std::size_t equation) {
  const Cycle& cycle = *sheet.cycle;
  return equation < cycle.from.size() ? sheet.trials[cycle.from[equation]].name
                                      : cycle.accepted[equation - cycle.from.size()].text;
}

/// Why there are no multipliers.
ResultNote unsolved(const Sheet& sheet, const CycleSolution& solution) {
  const std::string& target = sheet.cycle->target.text;
  if (!solution.left_over.empty()) {
    return {
        "cycle-open",
        Severity::unusable,
        "",
        fmt::format("No sum of the cycle's equations gives {}: {} cannot be brought to agree. "
                    "Add the equation that is missing to from or accepted.",
                    target, fmt::join(solution.left_over, ", ")),
        {{"target", target}, {"species", fmt::format("{}", fmt::join(solution.left_over, ", "))}}};
  }
  std::vector<std::string> names;
  for (const std::size_t equation : solution.dependent) names.push_back(name_of(sheet, equation));
  return {
      "cycle-ambiguous",
      Severity::unusable,
      "",
      fmt::format("Many sums of the cycle's equations give {}: {} make each other up. Leave one "
                  "of them out of from or accepted.",
                  target, fmt::join(names, "; ")),
      {{"target", target}, {"equations", fmt::format("{}", fmt::join(names, "; "))}}};
}

/// Fills the term; false where its enthalpy is not known.
bool find_enthalpy(CycleTerm& term, std::size_t index, const Sheet& sheet,
                   const std::map<std::size_t, MeasuredEnthalpy>& measured, CycleResult& result,
                   Inputs& inputs, ResultNotes& notes) {
  const Cycle& cycle = *sheet.cycle;
  if (index < cycle.from.size()) {
    const auto found = measured.find(cycle.from[index]);
    if (found == measured.end()) {
      say(notes, "cycle-waits", Severity::unusable,
          fmt::format("The cycle waits for a run of {}.", term.name), {{"trial", term.name}});
      return false;
    }
    term.kJ_per_mol = found->second.kJ_per_mol;
    result.at_25_degC = result.at_25_degC && found->second.at_25_degC;
    return true;
  }
  term.measured = false;
  const auto accepted =
      accepted_measured(cycle.accepted[index - cycle.from.size()], cycle.base, inputs);
  if (!accepted) {
    say(notes, "accepted-unknown", Severity::unusable, accepted.error().text,
        {{"why", accepted.error().text}});
    return false;
  }
  term.kJ_per_mol = accepted->kJ_per_mol;
  term.source = accepted->source;
  return true;
}

std::optional<Comparison> with_accepted(const Measured& sum, const Cycle& cycle, Inputs& inputs,
                                        ResultNotes& notes) {
  if (cycle.accepted_kJ_per_mol) {
    const InputId input = inputs.add({"accepted value of the sheet", ErrorSource::accepted, {}});
    return compare(
        sum,
        Measured::of(*cycle.accepted_kJ_per_mol, input, cycle.u_accepted_kJ_per_mol.value_or(0.0)),
        "the sheet");
  }
  const auto accepted = accepted_measured(cycle.target, cycle.base, inputs);
  if (!accepted) return std::nullopt;
  if (const std::string others = accepted_elsewhere(cycle.target); !others.empty()) {
    say(notes, "accepted-at-other-concentrations", Severity::note,
        fmt::format("The accepted value holds at infinite dilution; in kJ/mol at finite "
                    "concentration: {}. The one that fits goes into accepted_kJ_per_mol.",
                    others),
        {{"others", others}});
  }
  return compare(sum, accepted->kJ_per_mol, accepted->source);
}

/// A trial that is not in the sum and whose equation is the target, or a multiple of it.
std::optional<Comparison> with_direct(const Measured& sum, const Sheet& sheet,
                                      const std::map<std::size_t, MeasuredEnthalpy>& measured) {
  for (const auto& [trial, enthalpy] : measured) {
    const auto& from = sheet.cycle->from;
    if (std::find(from.begin(), from.end(), trial) != from.end()) continue;
    const Equation& equation = *sheet.trials[trial].equation;
    const CycleSolution one = solve_cycle(sheet.cycle->target, std::span(&equation, 1));
    if (one.multipliers.empty()) continue;
    return compare(sum, to_double(one.multipliers.front()) * enthalpy.kJ_per_mol,
                   "the trial " + sheet.trials[trial].name);
  }
  return std::nullopt;
}

}  // namespace

Comparison compare(const Measured& mine, const Measured& theirs, std::string source) {
  constexpr double k = 2.0;
  Comparison comparison;
  comparison.kJ_per_mol = theirs;
  comparison.source = std::move(source);
  comparison.difference_kJ_per_mol = mine - theirs;
  const double difference = comparison.difference_kJ_per_mol.value();
  if (theirs.value() != 0.0) comparison.percent = 100.0 * difference / std::abs(theirs.value());
  const double u = comparison.difference_kJ_per_mol.u();
  if (u > 0.0) comparison.E_n = difference / (k * u);
  return comparison;
}

CycleResult close_cycle(const Sheet& sheet, const std::map<std::size_t, MeasuredEnthalpy>& measured,
                        Inputs& inputs, ResultNotes& notes) {
  CycleResult result;
  result.target = sheet.cycle->target.text;
  const CycleSolution solution = solve_cycle(sheet.cycle->target, equations_of(sheet));
  if (solution.multipliers.empty()) {
    notes.add(unsolved(sheet, solution));
    return result;
  }
  Measured sum;
  bool complete = true;
  for (std::size_t i = 0; i < solution.multipliers.size(); ++i) {
    CycleTerm term;
    term.name = name_of(sheet, i);
    term.multiplier = solution.multipliers[i];
    if (term.multiplier == 0) {
      say(notes, "cycle-term-unused", Severity::note,
          fmt::format("The cycle does not need {}.", term.name), {{"trial", term.name}});
      continue;
    }
    if (!find_enthalpy(term, i, sheet, measured, result, inputs, notes)) complete = false;
    sum += to_double(term.multiplier) * term.kJ_per_mol;
    result.terms.push_back(std::move(term));
  }
  if (!complete) return result;
  if (!result.at_25_degC) {
    say(notes, "cycle-not-at-25", Severity::note,
        "Not every enthalpy of the cycle could be carried to 25 degC, since heat capacities are "
        "not tabulated: those stand as measured, at the temperatures of their trials.");
  }
  result.delta_H_kJ_per_mol = sum;
  result.budget = budget(sum, inputs);
  result.accepted = with_accepted(sum, *sheet.cycle, inputs, notes);
  result.direct = with_direct(sum, sheet, measured);
  return result;
}

std::optional<Error> cycle_problem(const Sheet& sheet) {
  if (!sheet.cycle) return std::nullopt;
  const CycleSolution solution = solve_cycle(sheet.cycle->target, equations_of(sheet));
  if (!solution.multipliers.empty()) return std::nullopt;
  return Error{Fault::bad_data, fmt::format("{}:{}: [cycle]: {}", sheet.path, sheet.cycle->line,
                                            unsolved(sheet, solution).text)};
}

}  // namespace nestcup

#include "tools/results/results_page.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "tools/cli/output.hpp"
#include "tools/results/trial_outcome.hpp"

namespace nestcup {
namespace {

constexpr std::string_view degree =
    "\xC2\xB0"
    "C";

std::string heading(const std::string& text, bool colour) {
  return cli::toned(text, cli::Tone::heading, colour) + "\n";
}

std::string line(std::string_view label, const std::string& text) {
  return fmt::format("  {:<16}{}\n", label, text);
}

std::string runs_text(std::size_t count) {
  return fmt::format("{} {}", count, count == 1 ? "run" : "runs");
}

/// "temperature 1.2, volume 0.4": parts of u, to two digits.
std::string budget_text(const std::vector<SourceShare>& lines, std::string_view unit) {
  std::vector<std::string> parts;
  for (const SourceShare& part : lines) {
    if (part.u < 0.01 * lines.front().u) continue;
    parts.push_back(fmt::format("{} {:.2g}", error_source_name(part.source), part.u));
  }
  return fmt::format("{} ({})", fmt::join(parts, ", "), unit);
}

std::string repeats_text(const TrialResult& trial, const std::string& unit) {
  std::vector<std::string> values;
  for (const RunResult& run : trial.runs) values.push_back(quantity_text(run.value, unit));
  return fmt::format("{}; as far apart by chance in {:.0f} % of cases", fmt::join(values, ", "),
                     100.0 * trial.probability);
}

std::string reaction_lines(const TrialResult& trial) {
  std::string text;
  if (trial.delta_H_25_kJ_per_mol) {
    text += line("", fmt::format("{} at 25 {}",
                                 quantity_text(*trial.delta_H_25_kJ_per_mol, "kJ/mol"), degree));
  }
  if (trial.heat_J) {
    text += line("heat taken up", quantity_text(*trial.heat_J, "J"));
  }
  if (trial.wet_gas_J) {
    text += line("", "of this carried off by wet gas: " + quantity_text(*trial.wet_gas_J, "J"));
  }
  if (trial.extent_mol) {
    text += line("extent", fmt::format("{}, {} runs out first",
                                       quantity_text(*trial.extent_mol, "mol"), trial.limiting));
  }
  return text;
}

std::string comparison_text(const std::string& label, const Comparison& comparison) {
  std::string text = line(
      label,
      fmt::format("{} ({})", quantity_text(comparison.kJ_per_mol, "kJ/mol"), comparison.source));
  std::string apart = quantity_text(comparison.difference_kJ_per_mol, "kJ/mol");
  // Adding 0 turns a rounded -0.0 into 0.0.
  if (comparison.percent) {
    apart += fmt::format(", {:.1f} %", std::round(*comparison.percent * 10.0) / 10.0 + 0.0);
  }
  text += line("difference", apart);
  if (!comparison.E_n) return text;
  return text + line("", fmt::format("E_n {:.2f} (k = 2): {}", *comparison.E_n,
                                     agreement_text(*comparison.E_n)));
}

std::string trial_text(const Sheet& sheet, const TrialResult& trial, bool colour) {
  std::string text = heading(fmt::format("{} ({}, {})", trial.name, purpose_text(trial.purpose),
                                         runs_text(trial.runs.size())),
                             colour);
  const SheetTrial* const wanted = sheet.find(trial.name);
  if (wanted != nullptr && wanted->equation) text += line("", wanted->equation->text);
  const TrialOutcome outcome = trial_outcome(trial);
  if (!outcome.value) return text + line(outcome.label, "not known");
  std::string value = quantity_text(*outcome.value, outcome.unit);
  if (trial.purpose == Purpose::reaction && trial.at_degC) {
    value += fmt::format(" at {:.1f} {}", *trial.at_degC, degree);
  }
  text += line(outcome.label, value);
  text += reaction_lines(trial);
  if (trial.accepted) text += comparison_text("accepted", *trial.accepted);
  if (trial.runs.size() > 1) text += line("repeats", repeats_text(trial, outcome.unit));
  if (!trial.budget.empty()) text += line("u comes from", budget_text(trial.budget, outcome.unit));
  return text;
}

std::string cycle_text(const CycleResult& cycle, bool colour) {
  std::string text = heading("cycle", colour) + line("", cycle.target);
  for (const CycleTerm& term : cycle.terms) {
    const std::string from = term.measured ? "measured" : term.source;
    text +=
        line(fmt::format("{:>4} times", rational_text(term.multiplier)),
             fmt::format("{}: {}, {}", term.name, quantity_text(term.kJ_per_mol, "kJ/mol"), from));
  }
  if (!cycle.delta_H_kJ_per_mol) return text + line("sum", "not known");
  text += line("sum", quantity_text(*cycle.delta_H_kJ_per_mol, "kJ/mol") +
                          (cycle.at_25_degC ? fmt::format(" at 25 {}", degree)
                                            : std::string(" at the temperatures of the trials")));
  if (!cycle.budget.empty()) text += line("u comes from", budget_text(cycle.budget, "kJ/mol"));
  if (cycle.accepted) text += comparison_text("accepted", *cycle.accepted);
  if (cycle.direct) text += comparison_text("measured itself", *cycle.direct);
  return text;
}

std::string notes_text(const ResultNotes& notes) {
  std::string text;
  for (const ResultNote& note : notes.all()) {
    text += fmt::format("{}: {}{}\n", severity_name(note.severity),
                        note.trial.empty() ? "" : note.trial + ": ", note.text);
  }
  return text;
}

}  // namespace

std::string results_page(const Sheet& sheet, const Results& results, bool colour) {
  std::string text = heading(sheet.title, colour);
  text += line("conventions", results.conventions);
  if (results.constant_J_per_K) {
    text += line("calorimeter", "constant " + quantity_text(*results.constant_J_per_K, "J/K"));
    if (!results.constant_budget.empty()) {
      text += line("u comes from", budget_text(results.constant_budget, "J/K"));
    }
  }
  for (const TrialResult& trial : results.trials) {
    text += "\n" + trial_text(sheet, trial, colour);
  }
  if (results.cycle) text += "\n" + cycle_text(*results.cycle, colour);
  const std::string notes = notes_text(results.notes);
  if (!notes.empty()) text += "\n" + notes;
  return text + "\nBehind \xC2\xB1 stands a standard uncertainty (k = 1).\n";
}

}  // namespace nestcup

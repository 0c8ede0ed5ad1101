#include "tools/demo/results_tables.hpp"

#include <fmt/format.h>

#include <string_view>

#include "tools/results/trial_outcome.hpp"

namespace nestcup::demo {
namespace {

/// The largest source of an uncertainty, with its share.
std::string main_source(const std::vector<SourceShare>& budget, std::string_view unit) {
  if (budget.empty()) return "";
  return fmt::format("{} ({:.2g} {})", error_source_name(budget.front().source), budget.front().u,
                     unit);
}

std::string row(const std::string& what, const std::string& value, const std::string& from) {
  return fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td></tr>\n", escaped(what), escaped(value),
                     escaped(from));
}

std::string trial_row(const Sheet& sheet, const TrialResult& trial) {
  const SheetTrial* const wanted = sheet.find(trial.name);
  const bool has_equation = wanted != nullptr && wanted->equation;
  const TrialOutcome outcome = trial_outcome(trial);
  const std::string what =
      fmt::format("{}: {}", trial.name, has_equation ? wanted->equation->text : outcome.label);
  return row(what, trial_text(trial), main_source(trial.budget, outcome.unit));
}

std::string trials_table(const Worked& worked, int number) {
  const Results& results = worked.results;
  std::string table = fmt::format(
      "<div class=\"wide\"><table>\n<caption>Table {}. What the sheet came to (u: standard "
      "uncertainty)</caption>\n<tr><th>quantity</th><th>value &plusmn; u</th><th>u comes mostly "
      "from</th></tr>\n",
      number);
  table +=
      row("calorimeter constant",
          results.constant_J_per_K ? quantity_text(*results.constant_J_per_K, "J/K") : "not known",
          main_source(results.constant_budget, "J/K"));
  for (const TrialResult& trial : results.trials) {
    if (!trial.constant_J_per_K) table += trial_row(worked.sheet, trial);
  }
  return table + "</table></div>\n";
}

std::string closure_sentence(const CycleResult& cycle) {
  if (!cycle.accepted) return "";
  std::string text = fmt::format(
      "Accepted: {} ({}); difference {}", quantity_text(cycle.accepted->kJ_per_mol, "kJ/mol"),
      cycle.accepted->source, quantity_text(cycle.accepted->difference_kJ_per_mol, "kJ/mol"));
  if (cycle.accepted->E_n) {
    text += fmt::format("; E_n {:.2f} (k = 2): {}", *cycle.accepted->E_n,
                        agreement_text(*cycle.accepted->E_n));
  }
  return "<p>" + escaped(text) + ".</p>\n";
}

std::string cycle_table(const CycleResult& cycle, int number) {
  std::string table = fmt::format(
      "<div class=\"wide\"><table>\n<caption>Table {}. The cycle: {}</caption>\n<tr><th>part</th>"
      "<th>enthalpy &plusmn; u</th><th>from</th></tr>\n",
      number, escaped(cycle.target));
  for (const CycleTerm& term : cycle.terms) {
    table +=
        row(fmt::format("{} times {}", rational_text(term.multiplier), term.name),
            quantity_text(term.kJ_per_mol, "kJ/mol"), term.measured ? "measured" : term.source);
  }
  table += row(
      "sum",
      cycle.delta_H_kJ_per_mol ? quantity_text(*cycle.delta_H_kJ_per_mol, "kJ/mol") : "not known",
      main_source(cycle.budget, "kJ/mol"));
  return table + "</table></div>\n" + closure_sentence(cycle);
}

std::string notes_list(const ResultNotes& notes) {
  std::string list;
  for (const ResultNote& note : notes.all()) {
    list += fmt::format("<li>{}: {}{}</li>\n", severity_name(note.severity),
                        note.trial.empty() ? "" : escaped(note.trial) + ": ", escaped(note.text));
  }
  return list.empty() ? list : "<ul>\n" + list + "</ul>\n";
}

}  // namespace

std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == '&') {
      out += "&amp;";
    } else if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else {
      out += c;
    }
  }
  return out;
}

std::string results_tables(const Worked& worked, int number) {
  std::string html = trials_table(worked, number);
  if (worked.results.cycle) html += cycle_table(*worked.results.cycle, number + 1);
  return html + notes_list(worked.results.notes);
}

}  // namespace nestcup::demo

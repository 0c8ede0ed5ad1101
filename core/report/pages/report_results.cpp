// What came out: constant, trials and cycle with their uncertainties, and how they compare.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <span>

#include "core/chemistry/main_value.hpp"
#include "core/report/pages/report_parts.hpp"
#include "core/report/words/symbol_text.hpp"

namespace nestcup {

namespace {

/// More columns do not fit on a page.
constexpr std::size_t most_results_a_table = 5;

/// One result with its name, unit and budget.
struct Outcome {
  std::string name;
  std::string below;  ///< the equation, or the temperature that it belongs to
  Measured value;
  std::string unit;
  std::vector<SourceShare> budget;  ///< of this very value: that of 25 degC has more to it
};

std::string unit_of(const TrialResult& trial) {
  switch (trial.purpose) {
    case Purpose::reaction:
      return "kJ/mol";
    case Purpose::heat_capacity:
      return "J/(g K)";
    case Purpose::fusion:
      return "J/g";
    case Purpose::calorimeter_constant:
    case Purpose::electrical_calibration:
      break;
  }
  return "J/K";
}

std::string below_of(const TrialResult& trial, const ReportWork& work) {
  if (trial.purpose != Purpose::reaction) return "";
  const std::string degC =
      trial.delta_H_25_kJ_per_mol ? "25" : fmt::format("{:.1f}", trial.at_degC.value_or(25.0));
  return work.texts.fill("results.enthalpy_at", {{"temperature", work.texts.number(degC)}});
}

std::vector<Outcome> outcomes_of(const ReportWork& work) {
  const Results& results = work.input.results;
  std::vector<Outcome> outcomes;
  if (results.constant_J_per_K) {
    outcomes.push_back({work.texts["results.constant"], "", *results.constant_J_per_K, "J/K",
                        results.constant_budget});
  }
  for (const TrialResult& trial : results.trials) {
    const auto value = main_value(trial);
    if (!value || trial.constant_J_per_K) continue;
    outcomes.push_back({trial.name, below_of(trial, work), *value, unit_of(trial),
                        budget(*value, results.inputs)});
  }
  if (results.cycle && results.cycle->delta_H_kJ_per_mol) {
    outcomes.push_back({work.texts["results.cycle"], chemistry_text(results.cycle->target),
                        *results.cycle->delta_H_kJ_per_mol, "kJ/mol", results.cycle->budget});
  }
  return outcomes;
}

/// The number of decimals of u's second significant digit.
std::string two_digits(double u, const Texts& texts) {
  if (u <= 0.0) return texts.number("0");
  const int place = static_cast<int>(std::floor(std::log10(u))) - 1;
  return texts.number(fmt::format("{:.{}f}", u, std::clamp(-place, 0, 9)));
}

/// A column a result: what each source brings in, and all together.
/// @param number  of the table among those that all results need
Table uncertainty_table(std::span<const Outcome> outcomes, int number, const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts[number == 1 ? "results.uncertainty_title" : "results.uncertainty_more"];
  table.key = fmt::format("uncertainties-{}", number);
  table.note = texts["results.uncertainty_note"];
  table.columns = {{texts["results.source"], false}};
  std::set<ErrorSource> sources;
  for (const Outcome& outcome : outcomes) {
    table.columns.push_back({outcome.name + " / " + unit_text(outcome.unit), true});
    for (const SourceShare& share : outcome.budget) sources.insert(share.source);
  }
  for (const ErrorSource source : sources) {
    std::vector<Cell> row{texts["source." + text_name(error_source_name(source))]};
    for (const Outcome& outcome : outcomes) {
      const auto share = std::find_if(outcome.budget.begin(), outcome.budget.end(),
                                      [&](const SourceShare& one) { return one.source == source; });
      // As many decimals as the whole has, and one more: what is less does not count.
      const bool counts = share != outcome.budget.end() && share->u >= 0.01 * outcome.value.u();
      row.push_back(result_cell(counts ? two_digits(share->u, texts) : "", work));
    }
    table.rows.push_back(std::move(row));
  }
  std::vector<Cell> together{texts["results.uncertainty_sum"]};
  for (const Outcome& outcome : outcomes) {
    together.push_back(result_cell(value_and_u(outcome.value, texts).second, work));
  }
  table.rows.push_back(std::move(together));
  return table;
}

Table outcomes_table(const std::vector<Outcome>& outcomes, const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["results.title"];
  table.key = "results";
  table.columns = {{texts["results.quantity"], false},
                   {texts["results.value"], true},
                   {texts["results.u"], true},
                   {texts["results.unit"], false}};
  for (const Outcome& outcome : outcomes) {
    const auto [value, u] = value_and_u(outcome.value, texts);
    table.rows.push_back({Cell(outcome.name, outcome.below), result_cell(value, work),
                          result_cell(u, work), unit_text(outcome.unit)});
  }
  table.note = texts["results.note"];
  return table;
}

std::string verdict(const Comparison& comparison, const Texts& texts) {
  if (!comparison.E_n) return "";
  return texts[std::abs(*comparison.E_n) <= 1.0 ? "results.agree" : "results.apart"];
}

std::vector<Cell> comparison_row(const std::string& name, const Measured& mine,
                                 const Comparison& comparison, const ReportWork& work) {
  const Texts& texts = work.texts;
  const auto [value, u] = value_and_u(mine, texts);
  const auto [theirs, their_u] = value_and_u(comparison.kJ_per_mol, texts);
  const auto [apart, apart_u] = value_and_u(comparison.difference_kJ_per_mol, texts);
  const auto decimals = [&](const std::optional<double>& number, int digits) {
    return number ? texts.number(fmt::format("{:.{}f}", *number, digits)) : std::string();
  };
  return {Cell(name, comparison.source),
          value,
          u,
          theirs,
          their_u,
          apart,
          apart_u,
          decimals(comparison.percent, 2),
          decimals(comparison.E_n, 2),
          verdict(comparison, texts)};
}

/// What was measured beside what is accepted.
Table comparison_table(const ReportWork& work) {
  const Texts& texts = work.texts;
  const Results& results = work.input.results;
  Table table;
  table.title = texts["results.comparison_title"];
  table.key = "comparison";
  table.columns = {{texts["results.quantity"], false}, {texts["results.value"], true},
                   {texts["results.u"], true},         {texts["results.accepted"], true},
                   {texts["results.u"], true},         {texts["results.difference"], true},
                   {texts["results.u"], true},         {texts["results.percent"], true},
                   {texts["results.E_n"], true},       {texts["results.verdict"], false}};
  for (const TrialResult& trial : results.trials) {
    if (!trial.accepted) continue;
    table.rows.push_back(comparison_row(trial.name, *main_value(trial), *trial.accepted, work));
  }
  if (results.cycle && results.cycle->delta_H_kJ_per_mol) {
    for (const auto& comparison : {results.cycle->accepted, results.cycle->direct}) {
      if (!comparison) continue;
      table.rows.push_back(comparison_row(texts["results.cycle"],
                                          *results.cycle->delta_H_kJ_per_mol, *comparison, work));
    }
  }
  table.note = texts["results.comparison_note"];
  return table;
}

}  // namespace

void add_results(const ReportWork& work) {
  const std::vector<Outcome> outcomes = outcomes_of(work);
  if (outcomes.empty()) return;
  work.document.add(Heading{2, work.texts["results.heading"]});
  int number = 0;
  for (std::size_t from = 0; from < outcomes.size(); from += most_results_a_table) {
    const std::size_t count = std::min(most_results_a_table, outcomes.size() - from);
    work.document.add(uncertainty_table(std::span(outcomes).subspan(from, count), ++number, work));
  }
  work.document.add(outcomes_table(outcomes, work));
  add_cycle_charts(work);
  // An accepted value would give the answer away.
  if (work.options.without_results) return;
  Table comparison = comparison_table(work);
  if (comparison.rows.empty()) return;
  work.document.add(Heading{2, work.texts["results.comparison_heading"]});
  add_comparison_steps(work);
  work.document.add(std::move(comparison));
}

}  // namespace nestcup

// Charts of results: where an uncertainty comes from, and the cycle as levels of enthalpy.
#include "core/chemistry/cycle_path.hpp"
#include "core/report/charts/budget_chart.hpp"
#include "core/report/charts/cycle_chart.hpp"
#include "core/report/drawing/chart_page.hpp"
#include "core/report/pages/report_parts.hpp"

namespace nestcup {

namespace {

/// The equation of a term: a trial's, or the accepted one itself.
std::optional<Equation> equation_of(const CycleTerm& term, const Sheet& sheet) {
  const SheetTrial* const trial = sheet.find(term.name);
  if (trial != nullptr) return trial->equation;
  auto equation = parse_equation(term.name);
  if (!equation) return std::nullopt;
  return std::move(equation).value();
}

CycleStep chart_step(const CycleTerm& term, const Equation& equation) {
  CycleStep step;
  step.label = equation.text;
  step.kJ_per_mol = term.kJ_per_mol.value();
  step.u = term.kJ_per_mol.u();
  step.measured = term.measured;
  step.multiplier = to_double(term.multiplier);
  step.multiplier_text = rational_text(term.multiplier);
  return step;
}

/// Nothing where a term's equation cannot be told.
std::optional<CycleChart> cycle_chart(const CycleResult& cycle, const ReportWork& work) {
  if (!cycle.delta_H_kJ_per_mol) return std::nullopt;
  std::vector<Equation> equations;
  std::vector<Rational> multipliers;
  for (const CycleTerm& term : cycle.terms) {
    const auto equation = equation_of(term, work.input.sheet);
    if (!equation) return std::nullopt;
    equations.push_back(*equation);
    multipliers.push_back(term.multiplier);
  }
  const CyclePath path = cycle_path(equations, multipliers);
  CycleChart chart;
  chart.title = work.texts["results.cycle_chart_title"];
  chart.language = work.options.language;
  chart.levels = path.levels;
  for (const std::size_t index : path.order) {
    chart.steps.push_back(chart_step(cycle.terms[index], equations[index]));
  }
  chart.target = {cycle.target, cycle.delta_H_kJ_per_mol->value(), cycle.delta_H_kJ_per_mol->u()};
  if (cycle.accepted) {
    const Measured& accepted = cycle.accepted->kJ_per_mol;
    chart.accepted = Uncertain{accepted.value(), accepted.u(), std::nullopt};
  }
  return chart;
}

BudgetChart budget_chart(const CycleResult& cycle, const ReportWork& work) {
  BudgetChart chart;
  chart.title = work.texts["results.budget_chart_title"];
  chart.unit = "kJ/mol";
  chart.language = work.options.language;
  chart.total_u = cycle.delta_H_kJ_per_mol->u();
  for (const SourceShare& share : cycle.budget) {
    chart.bars.push_back(
        {work.texts["source." + text_name(error_source_name(share.source))], share.u});
  }
  return chart;
}

}  // namespace

void add_cycle_charts(const ReportWork& work) {
  const auto& cycle = work.input.results.cycle;
  if (!cycle || !cycle->delta_H_kJ_per_mol || work.options.without_results) return;
  if (const auto chart = cycle_chart(*cycle, work)) {
    add_figure(work, *chart, work.texts["results.cycle_chart"]);
  }
  if (cycle->budget.empty()) return;
  add_figure(work, budget_chart(*cycle, work), work.texts["results.budget_chart"]);
}

}  // namespace nestcup

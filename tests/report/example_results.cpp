#include "tests/report/example_results.hpp"

#include <fmt/format.h>

#include <cmath>

namespace nestcup {

namespace {

/// Evenly spread over -1 to 1, the same every time: multiples of the golden section.
double evenly(std::size_t i) {
  const double part = 0.6180339887498949 * static_cast<double>(i + 1);
  return 2.0 * (part - std::floor(part)) - 1.0;
}

}  // namespace

BudgetChart example_budget(Language language) {
  BudgetChart chart;
  const bool german = language == Language::german;
  chart.title = german ? "Unsicherheit des korrigierten Temperatursprungs"
                       : "Uncertainty of the corrected temperature rise";
  chart.subtitles = {german ? "Versuch oxide 2, Sprung 8,5135 K" : "oxide 2, rise 8.5135 K"};
  chart.unit = "K";
  chart.bars = {{german ? "Verlauf der Abk\xC3\xBChlungskonstante beim Umsch\xC3\xBCtten"
                        : "course of the leak rate during the pour",
                 0.00025},
                {german ? "Streuung der Messwerte mit allem, was der Verlauf offen l\xC3\xA4sst"
                        : "scatter of the readings, with all that the course leaves open",
                 0.00161},
                {german ? "Rundung der Anzeige" : "rounding of the display", 0.00053},
                {german ? "Skala des F\xC3\xBChlers laut Kalibrierung"
                        : "scale of the probe, from its calibration",
                 0.00004}};
  chart.total_u = 0.001714;
  chart.language = language;
  return chart;
}

BudgetChart halving_budget(std::size_t count, double largest_u) {
  BudgetChart chart;
  chart.title = fmt::format("{} sources", count);
  chart.unit = "kJ/mol";
  double square = 0.0;
  for (std::size_t i = 0; i < count; ++i) {
    const double part = std::pow(0.5, static_cast<double>(i));
    chart.bars.push_back({fmt::format("amount of substance number {}", i + 1), largest_u * part});
    square += part * part;
  }
  chart.total_u = largest_u * std::sqrt(square);
  return chart;
}

CycleChart example_cycle(Language language) {
  CycleChart chart;
  const bool german = language == Language::german;
  chart.title =
      german ? "Bildungsenthalpie von Magnesiumoxid" : "Formation enthalpy of magnesium oxide";
  chart.subtitles = {"bench-4, 2026-11-25"};
  chart.steps = {{"Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)", -466.8, 2.1, true, 1.0, "1"},
                 {"H2(g) + 1/2 O2(g) -> H2O(l)", -285.83, 0.04, false, 1.0, "1"},
                 {"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)", -151.47, 0.59, true, -1.0, "-1"}};
  chart.levels = {"Mg(s) + 2 H+(aq) + 1/2 O2(g)", "Mg+2(aq) + H2(g) + 1/2 O2(g)",
                  "Mg+2(aq) + H2O(l)", "MgO(s) + 2 H+(aq)"};
  chart.target = {"Mg(s) + 1/2 O2(g) -> MgO(s)", -601.16, 2.2};
  chart.accepted = Uncertain{-601.60, 0.15};
  chart.language = language;
  return chart;
}

CycleChart long_cycle(std::size_t count, double kJ_per_mol) {
  CycleChart chart;
  chart.title = fmt::format("{} steps", count);
  chart.target.label = "C12H22O11(s) + 12 O2(g) -> 12 CO2(g) + 11 H2O(l)";
  const std::string words =
      "K4[Fe(CN)6].3H2O(s) + (NH4)2Fe(SO4)2.6H2O(s) + 1/2 O2(g) + 12 SO4-2(aq)";
  chart.levels.push_back(words);
  for (std::size_t i = 0; i < count; ++i) {
    CycleStep step;
    step.label = "K4[Fe(CN)6].3H2O(s) + 6 H2SO4(aq) -> (NH4)2Fe(SO4)2.6H2O(s) + 12 CO2(g) + " +
                 fmt::format("{} SO4-2(aq)", i + 1);
    step.kJ_per_mol = kJ_per_mol * (evenly(i) + 0.05);
    step.u = 0.013 * std::abs(kJ_per_mol);
    step.measured = i % 3 != 1;
    step.multiplier = i % 4 == 3 ? -0.5 : 1.0;
    chart.target.kJ_per_mol += step.contribution_kJ_per_mol();
    chart.target.u = std::hypot(chart.target.u, step.multiplier * step.u);
    chart.steps.push_back(step);
    chart.levels.push_back(words);
  }
  return chart;
}

ClassChart example_class(std::size_t count, Language language) {
  ClassChart chart;
  const bool german = language == Language::german;
  chart.title =
      german ? "Neutralisationsenthalpie, Klasse 11b" : "Enthalpy of neutralisation, class 11b";
  chart.quantity = german ? "Neutralisationsenthalpie" : "enthalpy of neutralisation";
  chart.unit = "kJ/mol";
  for (std::size_t i = 0; i < count; ++i) {
    ClassChartBench bench;
    bench.name = fmt::format("{} {}", german ? "Platz" : "bench", i + 1);
    bench.outlying = i % 7 == 4;
    bench.value = -56.9 + 0.8 * evenly(i) + (bench.outlying ? (i % 2 == 0 ? 3.1 : -2.9) : 0.0);
    bench.u = 0.35 + 0.15 * evenly(3 * i);
    for (std::size_t run = 0; run < 3; ++run) {
      bench.runs.push_back(bench.value + 0.6 * evenly(5 * i + run));
    }
    chart.benches.push_back(std::move(bench));
  }
  chart.robust_mean = -56.88;
  chart.robust_sd = 0.62;
  chart.median = -56.79;
  chart.accepted = Uncertain{-55.84, 0.10};
  chart.language = language;
  return chart;
}

}  // namespace nestcup

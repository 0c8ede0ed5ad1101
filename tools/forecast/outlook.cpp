#include "tools/forecast/outlook.hpp"

#include <fmt/format.h>

#include <cmath>

namespace nestcup::forecast {
namespace {

/// Offset and scale of a probe as bought (JCGM 100:2008, 4.3.7; core/base/calibration.hpp).
ProbeError probe_error(const std::string& key, double tolerance_K, double lag_K) {
  const double offset_K = tolerance_K / std::sqrt(3.0);
  return {key, std::hypot(offset_K, lag_K),
          tolerance_K > 0.0 ? slope_u_of_tolerance(tolerance_K) : 0.0};
}

/// A single probe is put into a liquid before it is poured, and not into a solid.
bool is_measured(const SheetTrial& trial, const BenchPlan& bench) {
  if (!trial.added) return false;
  return bench.has_added || (bench.one_probe && trial.added->volume_mL.has_value());
}

RunFacts planned_run(const ExpectedTrial& expected, const SheetTrial& trial, const RunErrors& found,
                     const BenchPlan& bench, Errors errors) {
  const bool stated = errors == Errors::stated;
  RunFacts facts;
  facts.trial = expected.name;
  facts.cup_degC = {expected.cup_degC.value(), stated ? found.stated_cup_K : found.cup_K, {}};
  facts.rise_K = {expected.rise_K.value(), stated ? found.stated_rise_K : found.rise_K, {}};
  facts.cup_probe = probe_error("probe cup", bench.cup_tolerance_K, 0.0);
  if (!is_measured(trial, bench)) return facts;
  const double own_K = stated ? found.stated_added_K : found.added_K;
  const double lag_K = stated ? 0.0 : found.added_lag_K;
  facts.added_degC = {expected.added_degC->value(), own_K, {}};
  if (bench.has_added) {
    facts.added_probe = probe_error("probe added", bench.added_tolerance_K, lag_K);
  } else {
    facts.added_degC->u = std::hypot(own_K, lag_K);
  }
  return facts;
}

}  // namespace

Rises expected_rises(const Sheet& sheet, const Assumptions& assumptions) {
  Rises rises;
  rises.constant_J_per_K = expected_constant(sheet, assumptions, rises.inputs);
  for (const SheetTrial& trial : sheet.trials) {
    ResultNotes notes;
    rises.trials.push_back(expected_trial({sheet, trial, rises.inputs, notes}, assumptions,
                                          rises.constant_J_per_K.value));
  }
  return rises;
}

std::vector<RunFacts> planned_runs(const Plan& plan, const Rises& rises, Errors errors) {
  std::vector<RunFacts> runs;
  for (std::size_t i = 0; i < plan.sheet.trials.size(); ++i) {
    if (!rises.trials[i] || !plan.errors[i]) continue;
    const SheetTrial& trial = plan.sheet.trials[i];
    const RunFacts facts =
        planned_run(*rises.trials[i], trial, *plan.errors[i], plan.bench, errors);
    for (int number = 1; number <= trial.repeats.value_or(1); ++number) {
      runs.push_back(facts);
      runs.back().id = fmt::format("{} {}", trial.name, number);
    }
  }
  return runs;
}

Results outlook(const Plan& plan, const Rises& rises, Errors errors) {
  return work_out(plan.sheet, planned_runs(plan, rises, errors));
}

bool gives_constant(const SheetTrial& trial) {
  return trial.purpose == Purpose::calorimeter_constant ||
         trial.purpose == Purpose::electrical_calibration;
}

}  // namespace nestcup::forecast

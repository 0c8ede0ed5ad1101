#include "core/working/sheet_steps.hpp"

#include <algorithm>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/chemistry/accepted_values.hpp"
#include "core/working/cycle_steps.hpp"
#include "core/working/run_steps.hpp"
#include "core/working/step_writer.hpp"

namespace nestcup {

namespace {

bool gives_constant(const TrialResult& trial) {
  return trial.purpose == Purpose::calorimeter_constant ||
         trial.purpose == Purpose::electrical_calibration;
}

/// The runs' own numbers; 1, 2, 3 ... where some lack one, or two have the same (typed runs beside
/// recorded ones).
std::vector<int> numbers_of(const std::vector<RunResult>& runs) {
  std::vector<int> numbers, counted;
  std::set<int> seen;
  for (const RunResult& run : runs) {
    numbers.push_back(run.facts.number);
    counted.push_back(static_cast<int>(numbers.size()));
    if (run.facts.number > 0) seen.insert(run.facts.number);
  }
  return seen.size() == runs.size() ? numbers : counted;
}

/// Makes all parts of a sheet's working.
class SheetWriter : StepWriter {
 public:
  SheetWriter(const Sheet& sheet, const Results& results, Working& working)
      : StepWriter(working), sheet_(sheet), results_(results), inputs_(results.inputs) {}

  void write() {
    std::vector<StepId> constants;
    for (const TrialResult& trial : results_.trials) {
      if (!gives_constant(trial) || trial.runs.empty()) continue;
      if (const auto mean = trial_parts(trial, std::nullopt)) constants.push_back(*mean);
    }
    const std::optional<StepId> constant = constant_part(constants);
    TrialSteps enthalpies;
    for (const TrialResult& trial : results_.trials) {
      if (gives_constant(trial) || trial.runs.empty() || !constant) continue;
      if (const auto result = trial_parts(trial, constant)) enthalpies[trial.name] = *result;
    }
    if (results_.cycle) cycle_part(*results_.cycle, enthalpies, working());
  }

 private:
  /// All runs of a trial and their mean. @return the trial's result
  std::optional<StepId> trial_parts(const TrialResult& trial, std::optional<StepId> constant) {
    const SheetTrial* const wanted = sheet_.find(trial.name);
    if (wanted == nullptr) return std::nullopt;
    const TrialWork work{sheet_, *wanted, inputs_, notes_};
    std::vector<RunSteps> runs;
    const std::vector<int> numbers = numbers_of(trial.runs);
    for (std::size_t i = 0; i < trial.runs.size(); ++i) {
      const RunResult& run = trial.runs[i];
      working().begin_part(
          {WorkingPart::Kind::run, trial.name, numbers[i], run.facts.id, 0, 0, std::nullopt});
      runs.push_back(run_steps(run, constant, work, working()));
      working().end_part(runs.back().result);
    }
    working().begin_part({WorkingPart::Kind::repeats, trial.name, 0, "", 0, 0, std::nullopt});
    const StepId mean = mean_of(trial, runs);
    const StepId result = trial.delta_H_25_kJ_per_mol ? at_25(trial, runs, mean, *wanted) : mean;
    working().end_part(result);
    if (trial.accepted) comparison_part(*trial.accepted, trial.name, result, working());
    return result;
  }

  /// Weights are the same for all means of one trial and come before the first.
  std::vector<StepId> weight_steps(const std::vector<double>& weights) {
    std::vector<StepId> steps;
    for (std::size_t i = 0; i < weights.size(); ++i) {
      const std::string number = std::to_string(i + 1);
      steps.push_back(
          given({"weight", "w_" + number, "", number}, Origin::weights, Measured(weights[i])));
    }
    return steps;
  }

  /// w_1 x_1 + w_2 x_2 + ...; one value is its own mean.
  StepId weighted(StepTitle title, const std::vector<StepId>& weights,
                  const std::vector<StepId>& values) {
    if (values.size() == 1) return values.front();
    std::string expression;
    Operands operands;
    for (std::size_t i = 0; i < values.size(); ++i) {
      const std::string number = std::to_string(i);
      expression += (i == 0 ? "w" : " + w") + number + " * x" + number;
      operands["w" + number] = weights[i];
      operands["x" + number] = values[i];
    }
    return derived(std::move(title), expression, std::move(operands));
  }

  StepId mean_of(const TrialResult& trial, const std::vector<RunSteps>& runs) {
    std::vector<double> weights;
    std::vector<StepId> values;
    for (std::size_t i = 0; i < runs.size(); ++i) {
      weights.push_back(trial.runs[i].weight);
      values.push_back(runs[i].result);
    }
    if (runs.size() > 1) weights_ = weight_steps(weights);
    const Step first = working()[values.front()];
    return weighted({"mean", first.symbol, first.unit, trial.name}, weights_, values);
  }

  StepId at_25(const TrialResult& trial, const std::vector<RunSteps>& runs, StepId mean,
               const SheetTrial& wanted) {
    std::vector<StepId> cups;
    for (const RunSteps& run : runs) cups.push_back(run.cup_degC);
    const StepId cup = weighted({"mean_temperature", "T", "degC", trial.name}, weights_, cups);
    const auto delta_Cp = delta_Cp_J_per_mol_K(*wanted.equation, inputs_);
    const StepId change = given({"heat_capacity_change", "DeltaC_p", "J/(mol K)", trial.name},
                                Origin::table, delta_Cp.value_or(Measured{}));
    return derived({"enthalpy_at_25", "DeltaH_25", "kJ/mol", trial.name}, "H + C * (25 - T) / 1000",
                   {{"H", mean}, {"C", change}, {"T", cup}});
  }

  /// The sheet's constant, or that of the trials for it.
  std::optional<StepId> constant_part(const std::vector<StepId>& constants) {
    if (!results_.constant_J_per_K) return std::nullopt;
    working().begin_part({WorkingPart::Kind::constant, "", 0, "", 0, 0, std::nullopt});
    StepId constant = 0;
    if (sheet_.calorimeter.constant_J_per_K) {
      constant = given({"constant", "K", "J/K"}, Origin::sheet, *results_.constant_J_per_K);
    } else if (constants.size() == 1) {
      constant = derived({"constant", "K", "J/K"}, "k", {{"k", constants.front()}});
    } else {
      constant =
          weighted({"constant", "K", "J/K"}, weight_steps(results_.constant_weights), constants);
    }
    working().end_part(constant);
    return constant;
  }

  const Sheet& sheet_;
  const Results& results_;
  Inputs inputs_;  // a copy: what is made here only tells how many digits to show
  ResultNotes notes_;
  std::vector<StepId> weights_;  // of the trial at hand
};

}  // namespace

Working working_of(const Sheet& sheet, const Results& results) {
  Working working;
  SheetWriter(sheet, results, working).write();
  return working;
}

}  // namespace nestcup

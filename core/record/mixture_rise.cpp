#include "core/record/mixture_rise.hpp"

#include <cmath>

#include "core/chemistry/heat_capacity.hpp"
#include "core/chemistry/trial_run.hpp"
#include "core/record/quantity_json.hpp"
#include "core/record/results_input.hpp"

namespace nestcup {

namespace {

/// Both vessels with their temperatures, as far as they are known and not assumed.
std::optional<MixedRun> known_run(const RunFacts& facts, const Sheet& sheet,
                                  const SheetTrial& trial, Inputs& inputs) {
  if (!trial.cup || !trial.added) return std::nullopt;
  ResultNotes notes;
  auto run = mixed_run(facts, {sheet, trial, inputs, notes});
  for (const ResultNote& note : notes.all()) {
    if (note.code == "added-temperature-assumed") return std::nullopt;
  }
  if (run && run->cup.unnamed_g.value() + run->added.unnamed_g.value() > 0.0) return std::nullopt;
  return run;
}

}  // namespace

std::optional<Uncertain> mixture_rise_K(const RunFacts& facts, const Sheet& sheet,
                                        const SheetTrial& trial) {
  Inputs inputs;
  const auto run = known_run(facts, sheet, trial, inputs);
  if (!run) return std::nullopt;
  HeatCapacityFlags flags;
  const Measured cup_J_per_K = heat_capacity_J_per_K(run->cup, run->cup_degC, run->final_degC,
                                                     run->conventions, inputs, flags);
  const Measured added_J_per_K = heat_capacity_J_per_K(run->added, run->added_degC, run->final_degC,
                                                       run->conventions, inputs, flags);
  const Measured both_J_per_K = cup_J_per_K + added_J_per_K;
  if (!(both_J_per_K.value() > 0.0)) return std::nullopt;
  // From the cup's temperature on, so that the weight of the added contents stands there once.
  const Measured mean_degC =
      run->cup_degC + added_J_per_K / both_J_per_K * (run->added_degC - run->cup_degC);
  const Uncertain rise_K = uncertain(run->final_degC - mean_degC, inputs);
  if (!std::isfinite(rise_K.value) || !std::isfinite(rise_K.u)) return std::nullopt;
  return rise_K;
}

Json mixture_rise_json(Json record, const Sheet& sheet, const SheetTrial& trial) {
  record["status"] = "finished";
  const auto facts = record_facts(record);
  if (!facts || !facts->facts) return nullptr;
  const auto rise_K = mixture_rise_K(*facts->facts, sheet, trial);
  return rise_K ? quantity_json(*rise_K) : Json(nullptr);
}

}  // namespace nestcup

#include "core/chemistry/trial_run.hpp"

#include <fmt/format.h>

#include <cmath>

namespace nestcup {

namespace {

/// What was added had the cup's temperature within 2 K to either side, rectangular.
const double assumed_u_K = 2.0 / std::sqrt(3.0);

bool must_know_added(const SheetTrial& trial) {
  return trial.purpose == Purpose::heat_capacity ||
         (trial.purpose == Purpose::calorimeter_constant && !trial.equation);
}

bool is_ice(const Contents& contents) {
  return contents.substance && contents.substance->text == "H2O(s)";
}

std::optional<Measured> added_degC(const RunFacts& facts, const RunTemperatures& temperatures,
                                   const TrialWork& work) {
  if (temperatures.added_degC) return temperatures.added_degC;
  const Contents& added = *work.trial.added;
  const std::string place = "temperature of what is added in " + work.trial.name;
  if (added.temperature_degC) {
    const InputId input = work.inputs.of_trial(place, {place, ErrorSource::temperature, {}});
    return Measured::of(*added.temperature_degC, input, added.u_temperature_K.value_or(0.0));
  }
  if (is_ice(added)) return Measured(0.0);
  if (must_know_added(work.trial)) {
    work.notes.add(
        {"added-temperature-missing",
         Severity::unusable,
         work.trial.name,
         fmt::format("Run {} is left out: nothing says how warm the added contents were. "
                     "Give the trial's added contents a temperature_degC.",
                     facts.id),
         {{"run", facts.id}}});
    return std::nullopt;
  }
  work.notes.add({"added-temperature-assumed", Severity::note, work.trial.name,
                  "Nothing says how warm the added contents were: the cup's temperature is taken, "
                  "within 2 K. Give them a temperature_degC, or a probe."});
  const InputId input = work.inputs.of_trial(place, {place, ErrorSource::temperature, {}});
  return temperatures.cup_degC + Measured::of(0.0, input, assumed_u_K);
}

Mixture contents_of(const std::optional<Contents>& contents, const std::string& vessel,
                    const Measured& degC, const std::string& run, const TrialWork& work) {
  if (!contents) return {};
  const std::string place = fmt::format("{} of {}", vessel, work.trial.name);
  // A volume is read when the liquid is ready, and so at its own temperature, if nothing else is
  // said.
  return mixture_of(*contents, {work.sheet, place, run, degC}, work.inputs);
}

}  // namespace

std::optional<MixedRun> mixed_run(const RunFacts& facts, const TrialWork& work) {
  const RunTemperatures temperatures = run_temperatures(facts, work.inputs);
  MixedRun run;
  run.conventions = work.sheet.conventions;
  run.cup_degC = temperatures.cup_degC;
  run.final_degC = temperatures.final_degC;
  run.rise_K = temperatures.rise_K;
  run.added_degC = run.cup_degC;
  if (work.trial.added) {
    const auto added = added_degC(facts, temperatures, work);
    if (!added) return std::nullopt;
    run.added_degC = *added;
  }
  run.cup = contents_of(work.trial.cup, "cup", run.cup_degC, facts.id, work);
  run.added = contents_of(work.trial.added, "added contents", run.added_degC, facts.id, work);
  return run;
}

}  // namespace nestcup

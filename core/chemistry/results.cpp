#include "core/chemistry/results.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "core/chemistry/repeats.hpp"
#include "core/chemistry/typed_run.hpp"

namespace nestcup {

namespace {

bool gives_constant(const SheetTrial& trial) {
  return trial.purpose == Purpose::calorimeter_constant ||
         trial.purpose == Purpose::electrical_calibration;
}

/// The runs by trial, typed ones first.
std::vector<std::vector<RunFacts>> runs_by_trial(const Sheet& sheet,
                                                 const std::vector<RunFacts>& runs,
                                                 ResultNotes& notes) {
  std::vector<std::vector<RunFacts>> sorted(sheet.trials.size());
  for (std::size_t trial = 0; trial < sheet.trials.size(); ++trial) {
    int number = 0;
    for (const TypedTrial& typed : sheet.trials[trial].typed) {
      sorted[trial].push_back(typed_run(sheet.trials[trial], typed, ++number));
    }
  }
  for (const RunFacts& run : runs) {
    const SheetTrial* const trial = sheet.find(run.trial);
    if (trial != nullptr) {
      sorted[static_cast<std::size_t>(trial - sheet.trials.data())].push_back(run);
    } else if (run.trial.empty()) {
      notes.add({"run-without-trial",
                 Severity::note,
                 "",
                 fmt::format("Run {} belongs to no trial; nestcup assign gives it to one.", run.id),
                 {{"run", run.id}}});
    } else {
      notes.add({"run-of-other-trial",
                 Severity::note,
                 "",
                 fmt::format("Run {} belongs to \"{}\", which this sheet does not have.", run.id,
                             run.trial),
                 {{"run", run.id}, {"other", run.trial}}});
    }
  }
  return sorted;
}

bool has_uncertainty(const Contents& contents, const Sheet& sheet) {
  if (contents.u_volume_mL || contents.u_mass_g) return true;
  if (!contents.instrument) return false;
  const Instrument& instrument = sheet.instruments[*contents.instrument];
  return contents.volume_mL ? instrument.u_volume_mL.has_value() : instrument.u_mass_g.has_value();
}

void note_exact_amounts(const SheetTrial& trial, const Sheet& sheet, ResultNotes& notes) {
  for (const auto* contents : {&trial.cup, &trial.added}) {
    if (!*contents) continue;
    const Contents& amount = **contents;
    const bool exact_stock = amount.stock &&
                             !sheet.stocks[*amount.stock].u_concentration_mol_per_L &&
                             !sheet.stocks[*amount.stock].u_mass_fraction;
    if (has_uncertainty(amount, sheet) && !exact_stock) continue;
    notes.add({"amount-taken-as-exact", Severity::note, trial.name,
               fmt::format("An amount or a strength in {} has no uncertainty and counts as exact. "
                           "Give it one (u_volume_mL, u_mass_g, u_concentration_mol_per_L, or an "
                           "instrument).",
                           trial.name)});
  }
}

void note_exact_temperatures(const SheetTrial& trial, ResultNotes& notes) {
  const bool exact = std::any_of(trial.typed.begin(), trial.typed.end(),
                                 [](const TypedTrial& typed) { return !typed.u_degC; });
  if (!exact) return;
  notes.add(
      {"temperature-taken-as-exact", Severity::note, trial.name,
       fmt::format("Temperatures typed in {} have no uncertainty: they count as exact, beside "
                   "the scatter of readings. Give the typed runs their u_degC.",
                   trial.name)});
}

std::optional<Measured> constant_of_sheet(const Calorimeter& calorimeter, Inputs& inputs) {
  if (!calorimeter.constant_J_per_K) return std::nullopt;
  const InputId input = inputs.add({"calorimeter constant", ErrorSource::calorimeter_constant, {}});
  return Measured::of(*calorimeter.constant_J_per_K, input,
                      calorimeter.u_constant_J_per_K.value_or(0.0));
}

std::string conventions_text(const Sheet& sheet) {
  if (!sheet.conventions) return "densities and heat capacities from tables, at their temperatures";
  const auto part = [](const std::optional<double>& value, const char* unit, const char* what) {
    return value ? fmt::format("every liquid {} {}", *value, unit)
                 : fmt::format("{} from tables", what);
  };
  return part(sheet.conventions->density_g_per_mL, "g/mL", "densities") + ", " +
         part(sheet.conventions->heat_capacity_J_per_g_K, "J/(g K)", "heat capacities");
}

/// Errors that only the constant's own runs bring in are from now on the constant's.
void ascribe_to_constant(const Measured& constant, Inputs& inputs) {
  for (const Effect& effect : constant.effects()) {
    if (!inputs.is_shared(effect.input)) {
      inputs.ascribe(effect.input, ErrorSource::calorimeter_constant);
    }
  }
}

using SortedRuns = std::vector<std::vector<RunFacts>>;

/// The constant that several trials found, by their means: what the repeats of one trial share
/// (warm water's temperature, say) then counts when it is held against another's.
Measured constant_of_trials(const std::vector<Measured>& means, Results& results) {
  const Pooled pooled = pool(means, "calorimeter constant", results.inputs);
  if (!pooled.consistent()) {
    results.notes.add(
        {"constants-apart",
         Severity::warning,
         "",
         fmt::format("The trials for the calorimeter constant differ by more than their "
                     "uncertainties allow (chance gives as much in {:.1f} % of cases): the scatter "
                     "counts. Look for what one of them leaves out.",
                     100.0 * pooled.probability),
         {{"percent", fmt::format("{:.1f}", 100.0 * pooled.probability)}}});
  }
  results.constant_weights = pooled.weights;
  return pooled.mean;
}

/// Trials for the constant, and the constant of all of them together.
void work_out_constant(const Sheet& sheet, const SortedRuns& runs, Results& results) {
  std::vector<Measured> means;
  for (std::size_t trial = 0; trial < sheet.trials.size(); ++trial) {
    if (!gives_constant(sheet.trials[trial])) continue;
    Repeats repeats({sheet, sheet.trials[trial], results.inputs, results.notes});
    for (const RunFacts& facts : runs[trial]) repeats.add(facts, Measured{});
    results.trials[trial] = repeats.together();
    const auto& mean = results.trials[trial].constant_J_per_K;
    if (mean) means.push_back(*mean);
  }
  results.constant_J_per_K = constant_of_sheet(sheet.calorimeter, results.inputs);
  if (!results.constant_J_per_K && !means.empty()) {
    results.constant_J_per_K = constant_of_trials(means, results);
  }
  if (!results.constant_J_per_K) return;
  results.constant_budget = budget(*results.constant_J_per_K, results.inputs);
  ascribe_to_constant(*results.constant_J_per_K, results.inputs);
}

void work_out_trials(const Sheet& sheet, const SortedRuns& runs, Results& results) {
  for (std::size_t trial = 0; trial < sheet.trials.size(); ++trial) {
    const SheetTrial& wanted = sheet.trials[trial];
    note_exact_amounts(wanted, sheet, results.notes);
    note_exact_temperatures(wanted, results.notes);
    if (gives_constant(wanted)) continue;
    Repeats repeats({sheet, wanted, results.inputs, results.notes});
    if (results.constant_J_per_K) {
      for (const RunFacts& facts : runs[trial]) repeats.add(facts, *results.constant_J_per_K);
    }
    results.trials[trial] = repeats.together();
  }
}

void note_missing(const Sheet& sheet, const SortedRuns& runs, Results& results) {
  if (!results.constant_J_per_K) {
    results.notes.add({"constant-missing", Severity::unusable, "",
                       "There is no calorimeter constant: no run of a trial for it could be worked "
                       "out. Run one, or give the sheet its constant_J_per_K."});
  }
  for (std::size_t trial = 0; trial < sheet.trials.size(); ++trial) {
    if (!runs[trial].empty()) continue;
    results.notes.add({"trial-without-runs", Severity::note, sheet.trials[trial].name,
                       fmt::format("There is no run of {} yet.", sheet.trials[trial].name)});
  }
}

std::map<std::size_t, MeasuredEnthalpy> enthalpies_of(const Results& results) {
  std::map<std::size_t, MeasuredEnthalpy> measured;
  for (std::size_t trial = 0; trial < results.trials.size(); ++trial) {
    const TrialResult& result = results.trials[trial];
    if (result.delta_H_25_kJ_per_mol) {
      measured[trial] = {*result.delta_H_25_kJ_per_mol, true};
    } else if (result.delta_H_kJ_per_mol) {
      measured[trial] = {*result.delta_H_kJ_per_mol, false};
    }
  }
  return measured;
}

}  // namespace

Results work_out(const Sheet& sheet, const std::vector<RunFacts>& runs) {
  Results results;
  results.conventions = conventions_text(sheet);
  results.trials.resize(sheet.trials.size());
  const SortedRuns sorted = runs_by_trial(sheet, runs, results.notes);
  work_out_constant(sheet, sorted, results);
  work_out_trials(sheet, sorted, results);
  note_missing(sheet, sorted, results);
  if (sheet.cycle) {
    results.cycle = close_cycle(sheet, enthalpies_of(results), results.inputs, results.notes);
  }
  return results;
}

}  // namespace nestcup

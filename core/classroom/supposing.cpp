// A bench as it would be if something had been other than stated.
#include <map>
#include <utility>

#include "core/chemistry/typed_run.hpp"
#include "core/classroom/suspect.hpp"

namespace nestcup {

namespace {

void for_each_contents(Sheet& sheet, auto&& change) {
  for (SheetTrial& trial : sheet.trials) {
    if (trial.cup) change(*trial.cup);
    if (trial.added) change(*trial.added);
  }
}

/// What the probe should have shown, where it shows a share too much of every difference.
void unscale(RunFacts& run, double share) {
  run.rise_K.value /= 1.0 + share;
  const double cup_degC = run.cup_degC.value;
  if (run.final_degC) {
    run.final_degC->value = cup_degC + (run.final_degC->value - cup_degC) / (1.0 + share);
  }
  if (run.added_degC && !run.added_by_hand && !run.added_probe) {
    run.added_degC->value = cup_degC + (run.added_degC->value - cup_degC) / (1.0 + share);
  }
}

void set_strength(Stock& stock, double value) {
  (stock.concentration_mol_per_L ? *stock.concentration_mol_per_L : *stock.mass_fraction) = value;
}

void change_stock(Sheet& sheet, const Suspect& suspect) {
  for_each_contents(sheet, [&](Contents& contents) {
    if (contents.stock == suspect.index) {
      contents.stock = suspect.other_index;
    } else if (suspect.kind == SuspectKind::exchanged_stocks &&
               contents.stock == suspect.other_index) {
      contents.stock = suspect.index;
    }
  });
}

void add_to_instrument(Sheet& sheet, const Suspect& suspect, double more) {
  const auto amount =
      suspect.kind == SuspectKind::cylinder ? &Contents::volume_mL : &Contents::mass_g;
  for_each_contents(sheet, [&](Contents& contents) {
    if (contents.instrument == suspect.index && contents.*amount) *(contents.*amount) += more;
  });
}

void change_trial(SheetTrial& trial, const Suspect& suspect, double value) {
  if (suspect.kind == SuspectKind::added_temperature) {
    trial.added->temperature_degC = value;
    return;
  }
  Contents& contents = suspect.of_cup ? *trial.cup : *trial.added;
  (contents.volume_mL ? contents.volume_mL : contents.mass_g) = value;
}

/// Whether the mean of two runs means anything.
bool are_alike(const RunFacts& a, const RunFacts& b) {
  return a.added_degC.has_value() == b.added_degC.has_value() &&
         a.final_degC.has_value() == b.final_degC.has_value() &&
         a.added_by_hand == b.added_by_hand &&
         a.added_probe.has_value() == b.added_probe.has_value();
}

/// A mean of several runs; the uncertainties stay those of the first.
struct MeanRun {
  RunFacts run;
  double count = 1.0;

  void add(const RunFacts& other) {
    count += 1.0;
    const auto towards = [&](double& mean, double value) { mean += (value - mean) / count; };
    towards(run.cup_degC.value, other.cup_degC.value);
    towards(run.rise_K.value, other.rise_K.value);
    if (run.added_degC) towards(run.added_degC->value, other.added_degC->value);
    if (run.final_degC) towards(run.final_degC->value, other.final_degC->value);
  }
};

}  // namespace

Supposed condensed(const Sheet& sheet, const std::vector<RunFacts>& runs) {
  Supposed bench{sheet, {}};
  std::vector<RunFacts> all = runs;
  for (SheetTrial& trial : bench.sheet.trials) {
    int number = 0;
    for (const TypedTrial& typed : trial.typed) all.push_back(typed_run(trial, typed, ++number));
    trial.typed.clear();
  }
  bench.sheet.cycle.reset();
  std::vector<MeanRun> means;
  for (const RunFacts& run : all) {
    bool taken = false;
    for (MeanRun& mean : means) {
      if (taken || mean.run.trial != run.trial || !are_alike(mean.run, run)) continue;
      mean.add(run);
      taken = true;
    }
    if (!taken) means.push_back({run});
  }
  for (MeanRun& mean : means) bench.runs.push_back(std::move(mean.run));
  return bench;
}

Supposed supposing(const Supposed& bench, const Suspect& suspect, double value) {
  Supposed supposed = bench;
  switch (suspect.kind) {
    case SuspectKind::strength:
      set_strength(supposed.sheet.stocks[suspect.index], value);
      break;
    case SuspectKind::other_stock:
    case SuspectKind::exchanged_stocks:
      change_stock(supposed.sheet, suspect);
      break;
    case SuspectKind::cylinder:
    case SuspectKind::balance:
      add_to_instrument(supposed.sheet, suspect, value);
      break;
    case SuspectKind::cup_scale:
      for (RunFacts& run : supposed.runs) unscale(run, value);
      break;
    case SuspectKind::added_offset:
      for (RunFacts& run : supposed.runs) {
        if (run.added_degC && run.added_probe) run.added_degC->value -= value;
      }
      break;
    case SuspectKind::constant:
      supposed.sheet.calorimeter.constant_J_per_K = value;
      break;
    case SuspectKind::amount:
    case SuspectKind::added_temperature:
      change_trial(supposed.sheet.trials[suspect.index], suspect, value);
      break;
  }
  return supposed;
}

}  // namespace nestcup

#include "core/classroom/suspect.hpp"

#include <algorithm>
#include <array>
#include <limits>
#include <optional>
#include <set>

#include "core/chemistry/typed_run.hpp"

namespace nestcup {

namespace {

constexpr double strength_factor = 20.0, amount_factor = 2.0;
constexpr double cylinder_share = 0.1, balance_share = 0.2, scale_share = 0.1;
constexpr double offset_K = 3.0, temperature_K = 10.0, constant_J_per_K = 200.0;
/// Of a mass fraction; stronger solutions than that are hardly stocks.
constexpr double highest_mass_fraction = 0.7;

std::vector<const Contents*> contents_of(const Sheet& sheet) {
  std::vector<const Contents*> all;
  for (const SheetTrial& trial : sheet.trials) {
    if (trial.cup) all.push_back(&*trial.cup);
    if (trial.added) all.push_back(&*trial.added);
  }
  return all;
}

std::set<std::size_t> used_stocks(const Sheet& sheet) {
  std::set<std::size_t> used;
  for (const Contents* const contents : contents_of(sheet)) {
    if (contents->stock) used.insert(*contents->stock);
  }
  return used;
}

double strength_of(const Stock& stock) {
  return stock.concentration_mol_per_L.value_or(stock.mass_fraction.value_or(0.0));
}

void add_strengths(const Sheet& sheet, std::vector<Suspect>& suspects) {
  for (const std::size_t used : used_stocks(sheet)) {
    const Stock& stock = sheet.stocks[used];
    const bool by_volume = stock.concentration_mol_per_L.has_value();
    Suspect suspect{SuspectKind::strength, stock.name, "", "", by_volume ? "mol/L" : ""};
    suspect.stated = strength_of(stock);
    suspect.u_stated =
        (by_volume ? stock.u_concentration_mol_per_L : stock.u_mass_fraction).value_or(0.0);
    suspect.low = suspect.stated / strength_factor;
    suspect.high = suspect.stated * strength_factor;
    if (!by_volume) suspect.high = std::min(suspect.high, highest_mass_fraction);
    suspect.by_factor = true;
    suspect.inputs = {"strength of " + stock.name};
    suspect.index = used;
    suspects.push_back(std::move(suspect));
  }
}

bool hold_the_same(const Stock& a, const Stock& b) {
  return a.substance.text == b.substance.text &&
         a.concentration_mol_per_L == b.concentration_mol_per_L &&
         a.mass_fraction == b.mass_fraction;
}

void add_choices(const Sheet& sheet, std::vector<Suspect>& suspects) {
  const auto used = used_stocks(sheet);
  for (const std::size_t mine : used) {
    for (std::size_t other = 0; other < sheet.stocks.size(); ++other) {
      if (other == mine || hold_the_same(sheet.stocks[mine], sheet.stocks[other])) continue;
      Suspect suspect{SuspectKind::other_stock, sheet.stocks[mine].name, sheet.stocks[other].name};
      suspect.index = mine;
      suspect.other_index = other;
      suspects.push_back(suspect);
      if (other < mine || !used.contains(other)) continue;
      suspect.kind = SuspectKind::exchanged_stocks;
      suspects.push_back(std::move(suspect));
    }
  }
}

/// The least amount that is measured with an instrument.
double least_amount(const Sheet& sheet, std::size_t instrument,
                    std::optional<double> Contents::*amount) {
  double least = std::numeric_limits<double>::infinity();
  for (const Contents* const contents : contents_of(sheet)) {
    if (contents->instrument == instrument && contents->*amount) {
      least = std::min(least, *(contents->*amount));
    }
  }
  return least;
}

void add_instruments(const Sheet& sheet, std::vector<Suspect>& suspects) {
  for (std::size_t i = 0; i < sheet.instruments.size(); ++i) {
    const Instrument& instrument = sheet.instruments[i];
    const auto add = [&](SuspectKind kind, const std::string& unit, const std::string& input,
                         double reach, std::optional<double> u) {
      if (!(reach < std::numeric_limits<double>::infinity())) return;
      Suspect suspect{kind, instrument.name, "", "", unit};
      suspect.u_stated = u.value_or(0.0);
      suspect.low = -reach;
      suspect.high = reach;
      suspect.inputs = {input + instrument.name};
      suspect.index = i;
      suspects.push_back(std::move(suspect));
    };
    add(SuspectKind::cylinder, "mL", "volume by ",
        cylinder_share * least_amount(sheet, i, &Contents::volume_mL), instrument.u_volume_mL);
    add(SuspectKind::balance, "g", "mass by ",
        balance_share * least_amount(sheet, i, &Contents::mass_g), instrument.u_mass_g);
  }
}

void add_probes(const std::vector<RunFacts>& runs, std::vector<Suspect>& suspects) {
  if (runs.empty()) return;
  Suspect scale{SuspectKind::cup_scale, "cup"};
  Suspect offset{SuspectKind::added_offset, "second vessel", "", "", "K"};
  scale.low = -scale_share;
  scale.high = scale_share;
  offset.low = -offset_K;
  offset.high = offset_K;
  bool has_second = false;
  for (const RunFacts& run : runs) {
    scale.u_stated = std::max(scale.u_stated, run.cup_probe.u_slope);
    scale.inputs.push_back("scale of " + run.cup_probe.key);
    if (!run.added_probe) continue;
    has_second = true;
    offset.u_stated = std::max(offset.u_stated, run.added_probe->u_offset_K);
    offset.inputs.push_back("offset of " + run.added_probe->key);
  }
  suspects.push_back(std::move(scale));
  if (has_second) suspects.push_back(std::move(offset));
}

void add_constant(const Sheet& sheet, std::vector<Suspect>& suspects) {
  if (!sheet.calorimeter.constant_J_per_K) return;
  Suspect suspect{SuspectKind::constant, "calorimeter", "", "", "J/K"};
  suspect.stated = *sheet.calorimeter.constant_J_per_K;
  suspect.u_stated = sheet.calorimeter.u_constant_J_per_K.value_or(0.0);
  suspect.high = std::max(constant_J_per_K, 2.0 * suspect.stated);
  suspect.inputs = {"calorimeter constant"};
  suspects.push_back(std::move(suspect));
}

bool takes_its_temperature_from_sheet(const SheetTrial& trial, const std::vector<RunFacts>& runs) {
  return trial.added && trial.added->temperature_degC &&
         std::any_of(runs.begin(), runs.end(), [&](const RunFacts& run) {
           return run.trial == trial.name && !run.added_degC;
         });
}

void add_trial(const SheetTrial& trial, std::size_t index, const std::vector<RunFacts>& runs,
               std::vector<Suspect>& suspects) {
  for (const bool of_cup : {true, false}) {
    const auto& contents = of_cup ? trial.cup : trial.added;
    if (!contents) continue;
    Suspect suspect{SuspectKind::amount, of_cup ? "cup" : "added contents", "", trial.name,
                    contents->volume_mL ? "mL" : "g"};
    suspect.stated = contents->volume_mL.value_or(contents->mass_g.value_or(0.0));
    suspect.u_stated = contents->volume_mL ? contents->u_volume_mL.value_or(0.0)
                                           : contents->u_mass_g.value_or(0.0);
    suspect.low = suspect.stated / amount_factor;
    suspect.high = suspect.stated * amount_factor;
    suspect.by_factor = true;
    suspect.index = index;
    suspect.of_cup = of_cup;
    suspects.push_back(std::move(suspect));
  }
  if (!takes_its_temperature_from_sheet(trial, runs)) return;
  Suspect suspect{SuspectKind::added_temperature, "added contents", "", trial.name, "degC"};
  suspect.stated = *trial.added->temperature_degC;
  suspect.u_stated = trial.added->u_temperature_K.value_or(0.0);
  suspect.low = suspect.stated - temperature_K;
  suspect.high = suspect.stated + temperature_K;
  suspect.inputs = {"temperature of what is added in " + trial.name};
  suspect.index = index;
  suspects.push_back(std::move(suspect));
}

}  // namespace

std::string suspect_code(SuspectKind kind) {
  constexpr std::array<const char*, 10> codes{
      "strength",  "other-stock",  "exchanged-stocks", "cylinder", "balance",
      "cup-scale", "added-offset", "constant",         "amount",   "added-temperature"};
  return codes[static_cast<std::size_t>(kind)];
}

std::vector<Suspect> suspects_of(const Supposed& bench) {
  std::vector<Suspect> suspects;
  add_strengths(bench.sheet, suspects);
  add_choices(bench.sheet, suspects);
  add_instruments(bench.sheet, suspects);
  add_probes(bench.runs, suspects);
  add_constant(bench.sheet, suspects);
  for (std::size_t i = 0; i < bench.sheet.trials.size(); ++i) {
    add_trial(bench.sheet.trials[i], i, bench.runs, suspects);
  }
  return suspects;
}

}  // namespace nestcup

#include "tools/demo/worked.hpp"

#include <fmt/format.h>

#include "core/record/gathered.hpp"
#include "core/record/results_json.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tools/demo/keep.hpp"
#include "tools/results/results_page.hpp"
#include "tools/results/trial_outcome.hpp"

namespace nestcup::demo {
namespace {

std::string line(const std::string& label, const std::string& text) {
  return fmt::format("  {:<22}{}\n", label, text);
}

std::string cycle_lines(const CycleResult& cycle) {
  const std::string sum =
      cycle.delta_H_kJ_per_mol ? quantity_text(*cycle.delta_H_kJ_per_mol, "kJ/mol") : "not known";
  std::string text = line("cycle", fmt::format("{}  ({})", sum, cycle.target));
  if (!cycle.accepted) return text;
  const Comparison& accepted = *cycle.accepted;
  text += line("accepted", fmt::format("{} ({})", quantity_text(accepted.kJ_per_mol, "kJ/mol"),
                                       accepted.source));
  if (!accepted.E_n) return text;
  return text + line("closure", fmt::format("E_n {:.2f} (k = 2): {}", *accepted.E_n,
                                            agreement_text(*accepted.E_n)));
}

}  // namespace

Result<Worked> work_day_out(const std::filesystem::path& folder, const Store& store) {
  auto sheet = read_sheet((folder / "sheet.toml").string());
  if (!sheet) return sheet.error();
  Gathered gathered;
  if (const auto done = gather_runs(store, gathered); !done) return done.error();
  Results results = worked_out(*sheet, gathered);
  return Worked{std::move(sheet).value(), std::move(results)};
}

Result<void> keep_results(const std::filesystem::path& folder, const Worked& worked) {
  const std::string json = results_json(worked.results).dump() + "\n";
  if (auto kept = write_new(folder / "results.json", json); !kept) return kept;
  return write_new(folder / "results.txt", results_page(worked.sheet, worked.results, false));
}

std::string trial_text(const TrialResult& trial) {
  constexpr std::string_view degree =
      "\xC2\xB0"
      "C";
  if (trial.delta_H_25_kJ_per_mol) {
    return fmt::format("{} at 25 {}", quantity_text(*trial.delta_H_25_kJ_per_mol, "kJ/mol"),
                       degree);
  }
  const TrialOutcome outcome = trial_outcome(trial);
  if (!outcome.value) return "not known";
  const std::string text = quantity_text(*outcome.value, outcome.unit);
  if (trial.purpose != Purpose::reaction || !trial.at_degC) return text;
  return fmt::format("{} at {:.1f} {}", text, *trial.at_degC, degree);
}

std::string worked_summary(const Worked& worked) {
  const Results& results = worked.results;
  std::string text = fmt::format("{}, worked out:\n", worked.sheet.title);
  text += line("calorimeter constant", results.constant_J_per_K
                                           ? quantity_text(*results.constant_J_per_K, "J/K")
                                           : "not known");
  for (const TrialResult& trial : results.trials) {
    if (!trial.constant_J_per_K) text += line(trial.name, trial_text(trial));
  }
  return results.cycle ? text + cycle_lines(*results.cycle) : text;
}

}  // namespace nestcup::demo

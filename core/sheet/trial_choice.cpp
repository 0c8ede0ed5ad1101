#include "core/sheet/trial_choice.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/nearest.hpp"

namespace nestcup {

namespace {

int runs_that_count(const SheetTrial& trial, const std::vector<GivenRun>& runs) {
  const auto given = std::count_if(runs.begin(), runs.end(), [&](const GivenRun& run) {
    return run.trial == trial.name && !run.left_out;
  });
  return static_cast<int>(trial.typed.size()) + static_cast<int>(given);
}

}  // namespace

int free_number(const SheetTrial& trial, const std::vector<GivenRun>& runs) {
  int number = static_cast<int>(trial.typed.size()) + 1;
  const auto is_taken = [&](const GivenRun& run) {
    return run.trial == trial.name && run.number == number;
  };
  while (std::any_of(runs.begin(), runs.end(), is_taken)) ++number;
  return number;
}

std::optional<TrialTurn> next_open_trial(const Sheet& sheet, const std::vector<GivenRun>& runs) {
  for (std::size_t i = 0; i < sheet.trials.size(); ++i) {
    const SheetTrial& trial = sheet.trials[i];
    if (runs_that_count(trial, runs) >= trial.repeats.value_or(1)) continue;
    return TrialTurn{i, free_number(trial, runs)};
  }
  return std::nullopt;
}

Result<std::size_t> trial_named(const Sheet& sheet, const std::string& name) {
  std::vector<std::string> names;
  for (const SheetTrial& trial : sheet.trials) {
    if (trial.name == name) return names.size();
    names.push_back(trial.name);
  }
  const auto near = nearest(name, names);
  return Error{Fault::usage, fmt::format("{}: no trial \"{}\"{}", sheet.path, name,
                                         near ? "; is \"" + *near + "\" meant?" : "")};
}

}  // namespace nestcup

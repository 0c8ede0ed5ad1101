// Which trial of a sheet a run is for.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// A run that was given to a trial of the sheet.
struct GivenRun {
  std::string trial;  ///< its name
  int number = 0;     ///< which repeat, from 1
  /// Struck out or unusable: does not count, and keeps its number (a struck run may be restored).
  bool left_out = false;
};

/// A trial and which of its repeats.
struct TrialTurn {
  std::size_t trial = 0;  ///< index in Sheet::trials
  int number = 0;         ///< from 1
};

/// The lowest number that no run of the trial has; runs typed into the sheet have the first ones.
[[nodiscard]] int free_number(const SheetTrial& trial, const std::vector<GivenRun>& runs);

/// The first trial, in the sheet's order, with fewer runs that count than planned repeats; nothing
/// where all are done.
[[nodiscard]] std::optional<TrialTurn> next_open_trial(const Sheet& sheet,
                                                       const std::vector<GivenRun>& runs);

/// Index of the trial with this name.
/// @errors usage: none (says the nearest)
[[nodiscard]] Result<std::size_t> trial_named(const Sheet& sheet, const std::string& name);

}  // namespace nestcup

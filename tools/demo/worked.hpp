// The day's sheet, worked out from the runs in the store.
#pragma once

#include <filesystem>
#include <string>

#include "core/base/result.hpp"
#include "core/chemistry/results.hpp"
#include "core/sheet/sheet.hpp"
#include "core/store/store.hpp"

namespace nestcup::demo {

struct Worked {
  Sheet sheet;
  Results results;
};

/// Works `sheet.toml` of the folder out from all runs of the store, as nestcup results does.
/// @errors as read_sheet and gather_runs
[[nodiscard]] Result<Worked> work_day_out(const std::filesystem::path& folder, const Store& store);

/// Writes results.json and results.txt: what nestcup results prints with and without --json.
/// @errors cannot_create
[[nodiscard]] Result<void> keep_results(const std::filesystem::path& folder, const Worked& worked);

/// A trial's result; an enthalpy at 25 degC where it can be carried there.
/// @return value and unit, and of an enthalpy its temperature; "not known" where there is none
[[nodiscard]] std::string trial_text(const TrialResult& trial);

/// Constant, trials, cycle and how it closes, a line each.
[[nodiscard]] std::string worked_summary(const Worked& worked);

}  // namespace nestcup::demo

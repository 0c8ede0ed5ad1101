// What connects a run's record to a trial of a sheet.
#pragma once

#include <vector>

#include "core/base/result.hpp"
#include "core/record/run_record.hpp"
#include "core/sheet/sheet.hpp"
#include "core/sheet/trial_choice.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// A record's `sheet`: {"title", "sha256"}.
[[nodiscard]] Json sheet_facts(const Sheet& sheet);

/// A record's `trial`: {"name", "number", "purpose"}.
[[nodiscard]] Json trial_facts(const SheetTrial& trial, int number);

/// The book's runs that were given to trials of this sheet. A sheet is known by its title: its
/// text changes where an amount is corrected, and is the same day at the bench still.
/// @errors as RunBook::runs; bad_data: a record that is none
[[nodiscard]] Result<std::vector<GivenRun>> given_runs(const RunBook& book, const Sheet& sheet);

/// Gives the record to a trial: its `sheet`, `trial` and `mixture_rise_K`.
void give_to_trial(Json& record, const Sheet& sheet, const SheetTrial& trial, int number);

/// Takes the record out of any trial; its sheet stays.
void give_to_none(Json& record);

/// The sheet as the store keeps it. @param now_us  Unix time
[[nodiscard]] StoredSheet stored_sheet(const Sheet& sheet, TimeUs now_us);

/// The sheet that a record names, as the book keeps it; nothing where it names none, or one that
/// the book does not keep.
/// @errors as RunBook::sheets
[[nodiscard]] Result<std::optional<StoredSheet>> kept_sheet(const RunBook& book,
                                                            const Json& record);

}  // namespace nestcup

// Runs for a report: records with their readings, charts, and what became of them.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/report/pages/report.hpp"
#include "core/sheet/sheet.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// All runs of a book that belong to trials of the sheet, struck ones too.
/// @param tell  is told of each run, since it takes a while: its number, and how many there are;
///              an error of it ends the work
/// @errors as RunBook's, and those of `tell`
[[nodiscard]] Result<std::vector<ReportRun>> report_runs(
    const RunBook& book, const Sheet& sheet, Language language,
    const std::function<Result<void>(int, std::size_t)>& tell);

/// The run of a record file, with the readings of `readings.csv` beside it where they are there and
/// those that the record is of.
/// @errors no_input, bad_data
[[nodiscard]] Result<ReportRun> report_run(const std::string& path, Language language);

/// The report of these runs: the sheet worked out from those that count, and all of them shown.
/// @errors bad_data: a record that cannot be read
[[nodiscard]] Result<Document> made_report(const Sheet& sheet, std::vector<ReportRun> runs,
                                           const ReportOptions& options);

}  // namespace nestcup

// Runs for a report: records with their readings, charts, and what became of them.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/report/report.hpp"
#include "core/store/store.hpp"
#include "tools/cli/streams.hpp"

namespace nestcup {

/// All runs of a store that belong to trials of the sheet, struck ones too.
/// @param streams  long work is told on standard error
/// @errors as Store's
[[nodiscard]] Result<std::vector<ReportRun>> report_runs(const Store& store, const Sheet& sheet,
                                                         Language language, cli::Streams& streams);

/// The run of a record file, with the readings of `readings.csv` beside it where they are there and
/// those that the record is of.
/// @errors no_input, bad_data
[[nodiscard]] Result<ReportRun> report_run(const std::string& path, Language language);

}  // namespace nestcup

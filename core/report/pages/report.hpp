// The report of a day at the bench: what is handed in and marked.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/chemistry/results.hpp"
#include "core/record/run_record.hpp"
#include "core/report/charts/run_chart.hpp"
#include "core/report/document/document.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// One entry of a run's history: finished, struck, restored, ...
struct HistoryEntry {
  int revision = 1;
  std::string action;
  std::string reason;
  std::string who;
  std::string at;  ///< RFC 3339
};

/// A run as the report shows it, whether it counts or not.
struct ReportRun {
  std::string name;  ///< "run 3", or the file that it came from
  Json record;
  std::vector<ChartPoint> cup;    ///< readings on the record's axis; empty where there are none
  std::vector<ChartPoint> added;  ///< of the second vessel's probe
  std::optional<RunChart> chart;
  std::optional<double> hand_K;       ///< the rise that the usual line by hand would have given
  std::vector<HistoryEntry> history;  ///< the oldest first
};

struct ReportInput {
  const Sheet& sheet;
  const Results& results;
  std::vector<ReportRun> runs;  ///< in the order in which they were made
  std::vector<std::string> cautions;
};

struct ReportOptions {
  Language language = Language::english;
  bool without_results = false;  ///< what follows from the rises is left free, to be worked out
  std::string by;                ///< who hands it in; may be empty
};

/// All parts in the order of the sheet: what was done, readings, corrected rises, working, results,
/// comparison, what was assumed, history.
[[nodiscard]] Document report_document(const ReportInput& input, const ReportOptions& options);

}  // namespace nestcup

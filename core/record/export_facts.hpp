// What an export carries beside its columns.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/record/run_record.hpp"

namespace nestcup {

/// The comment line of an export that carries what the columns cannot: source, sheet, probes,
/// start, wanted after period, mark, heater, and whether the run was cut short.
/// @param sheet_text  the sheet that the record names, byte for byte: without the amounts a replay
///                    could not give the mixture's rise; empty where it is not known
[[nodiscard]] std::string export_comment(const Json& record, const std::string& sheet_text = {});

/// What such a comment said; nothing where `comments` hold none or a damaged one.
struct ExportFacts {
  RecordContext context;
  double after_period_s = 180.0;
  std::optional<double> mark_s;
  FoundBy marked_by = FoundBy::mark;
  bool cut_by_next = false;
  bool heater = false;
  std::string sheet_text;  ///< empty where the export carries none
};
[[nodiscard]] std::optional<ExportFacts> export_facts(const std::vector<std::string>& comments);

}  // namespace nestcup

// A stored run with its readings: exports, and the analysis that belongs to its record.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/record/replay.hpp"
#include "core/record/run_record.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// What is said of a run whose record is none, or lacks what it should have: somebody wrote into
/// the store with another program.
[[nodiscard]] Error unreadable_record(const std::string& book, int number,
                                      const Json::exception& problem);

/// The readings of a run and no others, with the roles of its record's probes in their order.
/// @errors as RunBook::readings_about; bad_data: the record's probes cannot be read
[[nodiscard]] Result<RoledReadings> readings_of(const RunBook& book, const StoredRun& run);

/// The run as a trace file: what replay needs to give the same record again, with the sheet that
/// the record names where the book keeps it.
[[nodiscard]] Result<std::string> export_text(const RunBook& book, const StoredRun& run);

/// The run analysed again from its readings; nothing where replay finds no mixing in them.
/// @param sheet  instead of the one that the record names
[[nodiscard]] Result<std::optional<ReplayedRun>> analysed_again(
    const RunBook& book, const StoredRun& run, const std::optional<Sheet>& sheet = std::nullopt);

}  // namespace nestcup

// A stored run with its readings: exports, and the analysis that belongs to its record.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/record/replay.hpp"
#include "core/record/run_record.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// Readings of a run in the order and with the roles that its record's probes have.
struct RunReadings {
  std::vector<ProbeRole> roles;
  std::vector<Reading> readings;
};

/// @errors as Store::readings; bad_data: the record's probes cannot be read
[[nodiscard]] Result<RunReadings> readings_of(const Store& store, const StoredRun& run);

/// The run as a trace file: what replay needs to give the same record again, with the sheet that
/// the record names where the store keeps it.
[[nodiscard]] Result<std::string> export_text(const Store& store, const StoredRun& run);

/// The run analysed again from its readings; nothing where replay finds no mixing in them.
/// @param sheet  instead of the one that the record names
[[nodiscard]] Result<std::optional<ReplayedRun>> analysed_again(
    const Store& store, const StoredRun& run, const std::optional<Sheet>& sheet = std::nullopt);

}  // namespace nestcup

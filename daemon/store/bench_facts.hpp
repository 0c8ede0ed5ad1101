// What a bench says of itself to store and records.
#pragma once

#include <string>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// The probes as the store carries them, in the order of BenchFile::probes.
/// @param held  what holds of each probe, in the same order
[[nodiscard]] std::vector<StoredProbe> stored_probes(const BenchFile& file,
                                                     const std::vector<HeldCalibration>& held);

/// The probes that take part in runs, as the records carry them.
[[nodiscard]] Json record_probes(const BenchFile& file, const std::vector<HeldCalibration>& held);

/// What holds of each probe of the bench after these rows of its store.
[[nodiscard]] std::vector<HeldCalibration> held_on_bench(
    const BenchFile& file, const std::vector<StoredCalibration>& rows);

}  // namespace nestcup::daemon

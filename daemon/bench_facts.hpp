// What a bench says of itself to store and records.
#pragma once

#include <string>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/sheet/bench_file.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// The probes as the store carries them, in the bench file's order.
[[nodiscard]] std::vector<StoredProbe> stored_probes(const BenchFile& file);

/// The probes as the records carry them.
[[nodiscard]] Json record_probes(const BenchFile& file);

}  // namespace nestcup::daemon

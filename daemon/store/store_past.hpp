// What a store knows of the time before the daemon's start, and how a new store comes to know it.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "core/sheet/bench_file.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

struct Past {
  std::optional<StoredSession> session;
  std::optional<RunSpan> run;       ///< the one that ended last, where it is that fresh
  std::vector<Reading> readings;    ///< from that run on; by the bench's probes
  std::vector<StoredEvent> events;  ///< of the same time
  std::optional<TimeUs> last_us;    ///< of the newest reading
  std::vector<StoredCalibration> calibrations;
  bool results_hidden = false;
  std::uint64_t runs = 0;  ///< struck ones too
};

/// @param store       with the bench's probes registered
/// @param run_probes  only readings of the first so many are wanted
[[nodiscard]] Result<Past> read_past(const Store& store, std::size_t run_probes);

/// What can still be read of a store that may be damaged; whatever cannot is left out.
[[nodiscard]] Past rescued_past(const Store& store, const BenchFile& file);

/// Puts the past into a store that has just begun, and the bench's probes.
[[nodiscard]] Result<void> begin_with(Store& store, const BenchFile& file, const Past& past);

/// Makes the store know the bench's probes and notebooks, as they are now.
[[nodiscard]] Result<void> introduce_bench(Store& store, const BenchFile& file,
                                           const std::vector<StoredCalibration>& calibrations);

}  // namespace nestcup::daemon

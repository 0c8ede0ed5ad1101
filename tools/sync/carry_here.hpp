// Carrying what is owed without a daemon.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/bench_file.hpp"
#include "tools/cli/streams.hpp"

namespace nestcup {

/// Where the runs are, and which notebooks they go to.
struct SyncPlace {
  std::string store;
  std::optional<BenchFile> bench;  ///< names the notebooks; without it those that the store knows
};

/// As the outbox calls the bench's notebooks.
[[nodiscard]] std::vector<std::string> notebook_names(const SyncPlace& place);

/// How far the way to a notebook is: "folder /notebook: 12 still owed".
[[nodiscard]] std::string owed_words(const std::string& notebook, int owed);

/// Carries under the store's lock, whatever pause after a failure is left. A notebook that fails
/// keeps no other waiting.
/// @errors try_later: another process writes the store, or a notebook is away; as Store::open
[[nodiscard]] Result<void> carry_here(const SyncPlace& place, cli::Streams& streams);

}  // namespace nestcup

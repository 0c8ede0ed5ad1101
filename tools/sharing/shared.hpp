// Work over the runs of a database that several machines share: what commands ask for and say of
// it.
#pragma once

#include "core/notebook/postgres/shared_work.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup {

/// --workers, --lease and --again.
[[nodiscard]] std::vector<cli::OptionSpec> shared_options();

/// What the options ask for.
/// @param kind  of tasks: "recompute" or "verify"
/// @errors usage: --from names no database, or a number is out of its range
[[nodiscard]] Result<SharedWork> shared_work(const cli::Parsed& parsed, const std::string& kind);

/// Does it, and says what came of it: JSON, or a page.
/// @param good   outcomes and how they are called: {"changed", "changed"}, ...
/// @param wrong  the outcome that is a fault
/// @return the exit code
[[nodiscard]] int run_shared(const SharedWork& shared, const TaskWork& work,
                             const std::vector<std::pair<std::string, std::string>>& good,
                             const std::pair<std::string, std::string>& wrong, bool is_json,
                             cli::Streams& streams);

/// A run's record anew, kept beside the bench's: "changed", "same", "left" or "failed".
[[nodiscard]] Result<DoneTask> recomputed_task(const PostgresBook& book, const StoredRun& run,
                                               const PostgresRun& row);

/// Whether readings, records and links of the run belong together: "well" or "wrong".
[[nodiscard]] Result<DoneTask> verified_task(const PostgresBook& book, const StoredRun& run,
                                             const PostgresRun& row);

}  // namespace nestcup

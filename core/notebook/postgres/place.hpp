// A course's database as a place of kept runs, to be verified and imported like a folder.
#pragma once

#include "core/notebook/kept_runs.hpp"
#include "core/notebook/postgres/address.hpp"
#include "core/sheet/bench_file.hpp"

namespace nestcup {

/// Reads the proofs of all runs and the ends of all chains as they are at one moment; runs
/// themselves are read one at a time. Revisions that come in later are not seen.
/// @errors as PostgresSession; bad_configuration: the address, or its tables
[[nodiscard]] Result<KeptPlace> postgres_place(const NotebookSettings& settings);

}  // namespace nestcup

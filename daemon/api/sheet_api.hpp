// The sheet in use: what it says, what comes next, and how it is changed while the bench runs.
#pragma once

#include "daemon/api/book_reader.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// GET /v1/sheet: {"sheet": null, or title, digest, trials with amounts and runs, what comes next};
/// POST /v1/trial {"trial"}: the next run is for it; POST /v1/amounts {"trial", "part", "key",
/// "value" (null takes the key out), "reason" (may be left out)}; POST /v1/sheet/reload: takes up
/// the file as a person changed it. Bench and reader must outlive the router.
void add_sheet_routes(Router& router, Bench& bench, BookReader& reader);

}  // namespace nestcup::daemon

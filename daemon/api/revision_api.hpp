// What changes a stored run: striking out, restoring, and giving it to another trial.
#pragma once

#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// POST /v1/runs/{run}/strike and /restore {"reason"}; POST /v1/runs/{run}/assign {"trial",
/// "reason" (may be left out), "sheet_text" (instead of the sheet in use)}. Each answers with the
/// run as it is then. The bench must outlive the router.
void add_revision_routes(Router& router, Bench& bench);

}  // namespace nestcup::daemon

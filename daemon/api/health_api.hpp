// GET /healthz: whether the daemon does its work, for whoever watches machines.
#pragma once

#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// 200 {"well": true, "problems": []}, or 503 where readings cannot be written. Says nothing of the
/// bench's readings, so that it needs no token.
void add_health_routes(Router& router, Bench& bench);

}  // namespace nestcup::daemon

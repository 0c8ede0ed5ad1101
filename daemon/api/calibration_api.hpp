// The calibration's part of the API: what probes show, and what was found out about them.
#pragma once

#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// GET /v1/calibrations, POST /v1/calibrations (see calibration_request.hpp), and
/// GET /v1/probes/{number}/readings?after_us=: readings of the last minutes as the probe showed
/// them, uncorrected; `number` is 1, 2 ... in the order of the status (names may not be ASCII).
void add_calibration_routes(Router& router, Bench& bench);

}  // namespace nestcup::daemon

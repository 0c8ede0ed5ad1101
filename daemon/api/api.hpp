// The rows of /v1: what callers of the control socket may ask of a bench.
#pragma once

#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// Adds the routes of the bench and its runs; bench and router live on the io_context's thread.
void add_bench_routes(Router& router, Bench& bench);

}  // namespace nestcup::daemon

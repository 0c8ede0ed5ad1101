// The rows of /v1: what callers of the control socket may ask of a bench.
#pragma once

#include "daemon/bench.hpp"
#include "daemon/control/router.hpp"
#include "daemon/delivery.hpp"

namespace nestcup::daemon {

/// Adds the bench's routes; bench, delivery and router live on the io_context's thread.
void add_bench_routes(Router& router, Bench& bench, const Delivery& delivery, double speed);

}  // namespace nestcup::daemon

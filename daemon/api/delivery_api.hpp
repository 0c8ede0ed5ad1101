// What callers may ask of the way to the notebooks.
#pragma once

#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"
#include "daemon/store/delivery.hpp"

namespace nestcup::daemon {

/// POST /v1/sync: what is owed, blocked or waiting, is tried now; answers {"owed"}. Bench and
/// delivery must outlive the router.
void add_delivery_routes(Router& router, Bench& bench, Delivery& delivery);

}  // namespace nestcup::daemon

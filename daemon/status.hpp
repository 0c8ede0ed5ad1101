// The bench's state as JSON, for `nestcup status` and the page.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/bench.hpp"
#include "daemon/control/caller.hpp"
#include "daemon/delivery.hpp"
#include "daemon/service_heart.hpp"

namespace nestcup::daemon {

/// Everything that tells whether all is well. `well` is false where something needs a person, and
/// `problems` says what, one sentence each.
[[nodiscard]] nlohmann::ordered_json bench_status(Bench& bench, const Delivery& delivery,
                                                  const ServiceState& service, double speed);

/// The same as this caller may see it, with who that is: "access", "who". While results are hidden,
/// callers from elsewhere are told of no rise.
[[nodiscard]] nlohmann::ordered_json status_for_caller(Bench& bench, const Delivery& delivery,
                                                       const ServiceState& service, double speed,
                                                       const Caller& caller);

}  // namespace nestcup::daemon

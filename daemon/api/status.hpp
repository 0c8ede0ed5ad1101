// The bench's state as JSON, for `nestcup status` and the page.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/bench/bench.hpp"
#include "daemon/control/caller.hpp"
#include "daemon/health/service_heart.hpp"
#include "daemon/store/delivery.hpp"
#include "daemon/store/housekeeping.hpp"
#include "daemon/store/store_check.hpp"

namespace nestcup::daemon {

/// What a status is told from.
struct StatusSources {
  Bench& bench;
  const Delivery& delivery;
  const Housekeeping& housekeeping;
  const StoreCheck& check;
  ServiceState service{};
  double speed = 1.0;
};

/// Everything that tells whether all is well. `well` is false where something needs a person, and
/// `problems` says what, one sentence each.
[[nodiscard]] nlohmann::ordered_json bench_status(const StatusSources& from);

/// The same as this caller may see it, with who that is: "access", "who". While results are hidden,
/// callers from elsewhere are told of no rise.
[[nodiscard]] nlohmann::ordered_json status_for_caller(const StatusSources& from,
                                                       const Caller& caller);

}  // namespace nestcup::daemon

// Readings of the bench for curves: /v1/readings.
#pragma once

#include "daemon/api/book_reader.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// GET /v1/readings?from_us=&to_us=&points=: corrected temperatures of all probes of the bench.
/// from_us, to_us   microseconds on the bench's axis; the last quarter of an hour, up to now
/// points           so many of each probe at most, 10 to 20000 (2000); where there are more, some
///                  are left out evenly, and "all" is false
void add_readings_routes(Router& router, Bench& bench, BookReader& reader);

}  // namespace nestcup::daemon

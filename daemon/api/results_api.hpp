// What the runs come to: results, report, charts and histories; and whether that is shown.
#pragma once

#include "daemon/api/book_reader.hpp"
#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// GET /v1/results (as nestcup results --json); GET /v1/report?language=en|de&without_results=
/// true|false (text/html, as nestcup report); GET /v1/runs/{run}/chart.svg?language=en|de; GET
/// /v1/runs/{run}/history; POST /v1/results/hidden {"hidden"}, on the control socket alone. While
/// results are hidden, other callers get none (hides_from): numbers are null, the chart has
/// readings and periods alone, the report is refused. Bench and reader must outlive the router.
void add_results_routes(Router& router, Bench& bench, BookReader& reader);

}  // namespace nestcup::daemon

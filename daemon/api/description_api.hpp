// What the interface says of itself: every route, what it takes and answers (OpenAPI 3.1).
#pragma once

#include <string>

#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// api/openapi.json as it was built in; a test holds it against the router.
[[nodiscard]] std::string description_text();
/// The JSON Schema of run records, which the description refers to as its neighbour.
[[nodiscard]] std::string record_schema_text();

/// GET /v1/openapi.json and /v1/run_record.schema.json.
void add_description_routes(Router& router);

}  // namespace nestcup::daemon

// The class on the wall page.
#pragma once

#include "daemon/api/class_wall.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

class Bench;

/// GET /v1/class; for the benches of the database that [class] names.
/// @param wall  null where the bench file has no [class]
void add_class_routes(Router& router, const Bench& bench, ClassWall* wall);

}  // namespace nestcup::daemon

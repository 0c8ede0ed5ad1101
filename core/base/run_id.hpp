// Ids of runs and of stores.
#pragma once

#include <string>

#include "core/base/clock.hpp"

namespace nestcup {

/// A new id: a UUID of version 7 (RFC 9562) from this wall time and the system's random bytes.
/// @param wall_us  Unix time, us
[[nodiscard]] std::string new_run_id(TimeUs wall_us);

}  // namespace nestcup

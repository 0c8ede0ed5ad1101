// Ids of runs.
#pragma once

#include <string>

#include "core/base/clock.hpp"

namespace nestcup {

/// A new run's id: a UUID of version 7 from this wall time and the system's random bytes.
/// @param wall_us  Unix time, us
[[nodiscard]] std::string new_run_id(TimeUs wall_us);

}  // namespace nestcup

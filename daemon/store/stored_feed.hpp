// What was stored before a stop or crash, fed to the follower again.
#pragma once

#include <vector>

#include "core/analysis/run/run_follower.hpp"
#include "daemon/store/store_past.hpp"

namespace nestcup::daemon {

/// Feeds the past's readings and events in the order of their times. Behind a change of a
/// calibration the follower begins anew, as it did on the bench: a step in the corrected readings
/// is no mixing.
/// @param follower  has seen nothing
/// @param probes    on the bench; readings of others are left out
/// @return the runs behind the past's own, which the store does not have yet
[[nodiscard]] std::vector<FinishedRun> feed_stored(RunFollower& follower, const Past& past,
                                                   std::size_t probes);

}  // namespace nestcup::daemon

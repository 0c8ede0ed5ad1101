// What was stored before a stop or crash, fed to the follower again.
#pragma once

#include <vector>

#include "core/analysis/run_follower.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// Feeds readings and events in the order of their times. Behind a change of a calibration the
/// follower begins anew, as it did on the bench: a step in the corrected readings is no mixing.
/// @param fresh   a follower that has seen nothing
/// @param probes  on the bench; readings of others are left out
void feed_stored(RunFollower& follower, const RunFollower& fresh,
                 const std::vector<Reading>& readings, const std::vector<StoredEvent>& events,
                 std::size_t probes);

}  // namespace nestcup::daemon

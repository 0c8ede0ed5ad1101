// Results that a teacher keeps back: what came out is shown to nobody but callers at the machine
// itself until they are shown again. Readings, curves and findings stay in sight.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/bench/bench.hpp"
#include "daemon/control/message.hpp"

namespace nestcup::daemon {

/// Whether whoever asks may not see what came out: results are hidden, and the kernel does not
/// vouch for a caller on the control socket.
[[nodiscard]] bool hides_from(const Bench& bench, const Request& request);

/// A run record without what came out, and with "hidden": true: rises, estimates, budget, final
/// temperature and heat leak are null or empty in their usual shape. Keys that are not known here
/// are left out.
[[nodiscard]] nlohmann::ordered_json masked_record(const nlohmann::ordered_json& record);

/// The results (results_json) without what came out, and with "hidden": true: what was worked out
/// stays by name, without a number.
[[nodiscard]] nlohmann::ordered_json masked_results(const nlohmann::ordered_json& results);

}  // namespace nestcup::daemon

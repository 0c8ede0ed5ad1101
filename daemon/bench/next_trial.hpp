// The trial that comes next, as answers carry it.
#pragma once

#include <nlohmann/json.hpp>

#include "daemon/bench/trial_book.hpp"

namespace nestcup::daemon {

/// {"name", "number", "purpose", "chosen": whether a person said so}; null where all are done, or
/// there is no sheet.
[[nodiscard]] nlohmann::ordered_json next_trial_json(const TrialState& state);

}  // namespace nestcup::daemon

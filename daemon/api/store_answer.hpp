// Answers to requests that come from the store.
#pragma once

#include <functional>
#include <nlohmann/json.hpp>
#include <string>

#include "daemon/bench/bench.hpp"
#include "daemon/control/router.hpp"

namespace nestcup::daemon {

/// Login name of whoever asks.
[[nodiscard]] std::string who_asks(const Request& request);

/// A run as answers carry it: {"number", "id", "revision", "status", "record"}.
/// @param hidden  without what came out (see masked_record)
[[nodiscard]] nlohmann::ordered_json run_line(const StoredRun& run, bool hidden);

/// Answers from the store, on the writer's thread; `work` gives the body or an error.
using StoreWork = std::function<Result<nlohmann::ordered_json>(Store&)>;
void answer_from_store(Bench& bench, const Reply& reply, StoreWork work);

}  // namespace nestcup::daemon

// What to do next at the bench, in one sentence for busy hands.
#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/analysis/run/run_follower.hpp"

namespace nestcup::daemon {

/// How a vessel stands.
struct VesselFacts {
  std::string probe;
  bool stale = true;
  std::optional<double> steady_s;  ///< for so long; nothing while it is not
};

struct AdviceFacts {
  RunState state = RunState::watching;
  std::optional<VesselFacts> cup;
  std::optional<VesselFacts> added;
  std::optional<double> after_period_s;  ///< so far, once the after period has begun
  double after_period_wanted_s = 0.0;
  bool going_on_pays = true;
  bool has_sheet = false;
  std::string next_trial;  ///< empty where all are done
};

/// A text of the catalogue (bench.toml, "advice.CODE") and the words it has room for.
struct Advice {
  std::string code;
  std::vector<std::pair<const char*, std::string>> words;
};

/// @return one of no-cup, no-readings, not-steady, foreperiod, pour, pour-trial,
///         sheet-done, suspected, cover,
///         after-period, enough
[[nodiscard]] Advice advice_on(const AdviceFacts& facts);

/// {"code", "words", "text": in English}
[[nodiscard]] nlohmann::ordered_json advice_json(const Advice& advice);

}  // namespace nestcup::daemon

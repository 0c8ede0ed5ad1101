// What happened between two looks at a bench, for those who read lines and not a screen.
#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "tools/watch/snapshot.hpp"
#include "tools/watch/words.hpp"

namespace nestcup::watch {

struct Notice {
  nlohmann::ordered_json json;  ///< "event" and what belongs to it
  std::string text;             ///< one line
};

/// In the order: the link, the run, the probes, what to do next, problems.
[[nodiscard]] std::vector<Notice> notices_between(const Snapshot& before, const Snapshot& after,
                                                  const Words& words);

/// How the bench stands, as one line: temperatures, the run, the rise so far.
[[nodiscard]] std::string state_line(const Snapshot& snapshot, const Words& words);
/// The same for programs, units in the keys.
[[nodiscard]] nlohmann::ordered_json state_json(const Snapshot& snapshot);

}  // namespace nestcup::watch

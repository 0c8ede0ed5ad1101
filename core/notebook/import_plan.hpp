// Which of the runs that lie in places can be taken into a store, and in which order.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/notebook/kept_runs.hpp"

namespace nestcup {

/// A run that was found. The same run may lie in several places: what is whole counts, and of that
/// the one with the most revisions.
struct ImportCandidate {
  const KeptPlace* place = nullptr;
  const KeptEntry* entry = nullptr;
  std::string bench;                ///< as its newest record names it; may be empty
  std::vector<std::string> faults;  ///< why it is refused

  [[nodiscard]] bool well() const { return faults.empty(); }
};

/// One revision to be taken.
struct ImportStep {
  std::size_t run = 0;  ///< index of its candidate
  int revision = 0;
};

struct ImportPlan {
  std::vector<ImportCandidate> runs;
  std::vector<ImportStep> steps;  ///< chain by chain, the oldest first, in the order of the links
  /// The chain that can go on in an empty store: its links are here from the first to the end that
  /// the places know, and nothing of it is refused. Empty where there is none.
  std::string book;
};

/// @param only  the bench whose runs are wanted; nothing: of any, if there is but one
/// @errors usage: runs of several benches and none chosen (they are named); no_input: no runs of
///         that bench
[[nodiscard]] Result<ImportPlan> plan_import(const std::vector<KeptPlace>& places,
                                             const std::optional<std::string>& only,
                                             const std::function<void(int, int)>& progress);

}  // namespace nestcup

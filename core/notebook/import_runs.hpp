// Takes runs that were carried out into a store: records of all revisions with their notes,
// readings with their raw quantities, and sheets. Cut off at any step and begun again, nothing is
// there twice.
#pragma once

#include <string>
#include <vector>

#include "core/notebook/import_plan.hpp"
#include "core/store/store.hpp"

namespace nestcup {

enum class ImportOutcome {
  added,      ///< was not there
  continued,  ///< further revisions were added
  there,      ///< was there with all of its revisions
  refused,    ///< left out: broken, or the store holds something else
};

/// What became of a run.
struct ImportedRun {
  std::string where;
  std::string id;
  std::string bench;
  int number_before = 0;  ///< in the store that it comes from
  int number = 0;         ///< in this store; 0 where it is not in it
  ImportOutcome outcome = ImportOutcome::there;
  int revisions = 0;                 ///< added
  std::vector<std::string> reasons;  ///< why it is refused, or what is worth knowing
};

struct Imported {
  std::vector<ImportedRun> runs;  ///< in the plan's order
  bool took_over_chain = false;   ///< the store goes on with the chain of the one that was lost
};

/// Takes the runs of a plan, or only says what would become of them.
/// @param look   the store, open for reading; nothing where it is not there yet
/// @param store  the same, to be written under its lock; nothing for a dry run
/// @errors of the store: what was taken until then stays, and the rest can be taken later
[[nodiscard]] Result<Imported> import_runs(const ImportPlan& plan, const Store* look, Store* store,
                                           const std::function<void(int, int)>& progress);

}  // namespace nestcup

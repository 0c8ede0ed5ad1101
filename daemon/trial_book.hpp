// The sheet in use: which trial a finished run is given to, and which comes next.
#pragma once

#include <mutex>
#include <optional>

#include "core/record/run_record.hpp"
#include "core/sheet/trial_choice.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// Counts by what the store has, so that a stop, a crash or a run that was struck changes nothing
/// for whoever comes next.
class TrialBook {
 public:
  /// @param sheet  outlives the book; absent where the bench has none
  explicit TrialBook(const std::optional<Sheet>& sheet) : sheet_(sheet) {}

  /// Stores a finished run: given to the next open trial, or to none where there is no sheet or all
  /// trials are done. A run that the store has already is left as it is. On the writer's thread.
  /// @param record  revision 1, in no trial
  /// @return the run as it is stored
  /// @errors as Store::add_run
  [[nodiscard]] Result<StoredRun> add_run(Store& store, StoredRun run, Json record,
                                          const RevisionNote& note);
  /// Counts the store's runs anew: one was added, struck, restored or given to another trial. On
  /// the writer's thread.
  void look(const Store& store);

  [[nodiscard]] const std::optional<Sheet>& sheet() const { return sheet_; }
  /// The trial that the next run will be given to; nothing where all are done. Any thread.
  [[nodiscard]] std::optional<TrialTurn> next() const;

 private:
  const std::optional<Sheet>& sheet_;
  mutable std::mutex mutex_;
  std::optional<TrialTurn> next_;  ///< behind the mutex
};

}  // namespace nestcup::daemon

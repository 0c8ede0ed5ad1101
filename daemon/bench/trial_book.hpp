// The sheet in use: which trial a finished run is given to, and which comes next.
#pragma once

#include <memory>
#include <mutex>
#include <optional>
#include <string>
#include <vector>

#include "core/record/run_record.hpp"
#include "core/sheet/trial_choice.hpp"
#include "core/store/store.hpp"

namespace nestcup::daemon {

/// The sheet in use and where the day stands, of one moment.
struct TrialState {
  std::shared_ptr<const Sheet> sheet;  ///< null where the bench has none
  /// The trial of `sheet` that the next run will be given to; nothing where all are done.
  std::optional<TrialTurn> next;
  bool chosen = false;  ///< a person said that it comes next
};

/// Counts by what the store has, so that a stop, a crash or a run that was struck changes nothing
/// for whoever comes next. The sheet may be put in another one's place: what holds on to the one it
/// was given keeps that.
class TrialBook {
 public:
  /// @param sheet  absent where the bench has none
  explicit TrialBook(std::optional<Sheet> sheet);

  /// Stores a finished run: given to the trial that was chosen, else to the next open one, or to
  /// none where there is no sheet or all trials are done. A choice holds for one run. A run that
  /// the store has already is left as it is. On the writer's thread.
  /// @param record  revision 1, in no trial
  /// @return the run as it is stored
  /// @errors as Store::add_run
  [[nodiscard]] Result<StoredRun> add_run(Store& store, StoredRun run, Json record,
                                          const RevisionNote& note);
  /// Counts the store's runs anew: one was added, struck, restored or given to another trial. On
  /// the writer's thread.
  void look(const Store& store);
  /// Another sheet, or another text of it, holds from here on. A choice stays where it has the
  /// trial. On the writer's thread.
  void use(Sheet sheet, const Store& store);

  /// The next run that is stored will be given to this trial, done or not; "none" or an empty name
  /// gives it back to the sheet's order. Any thread.
  /// @errors usage: no such trial (says the nearest), or no sheet
  [[nodiscard]] Result<void> choose(const std::string& trial);

  /// Null where there is none. Any thread.
  [[nodiscard]] std::shared_ptr<const Sheet> sheet() const;
  /// Any thread.
  [[nodiscard]] TrialState state() const;
  /// As in state(). Any thread.
  [[nodiscard]] std::optional<TrialTurn> next() const { return state().next; }

 private:
  using Choice = std::shared_ptr<const std::string>;
  struct Plan {
    std::shared_ptr<const Sheet> sheet;
    Choice choice;
  };
  [[nodiscard]] Plan plan() const;
  void look(const Store& store, const Choice& done);

  mutable std::mutex mutex_;
  std::shared_ptr<const Sheet> sheet_;          ///< behind the mutex, as all that follows
  std::optional<std::vector<GivenRun>> given_;  ///< as at the last look
  Choice choice_;                               ///< a trial's name; null for the sheet's order
};

}  // namespace nestcup::daemon

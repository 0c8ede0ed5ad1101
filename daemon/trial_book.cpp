#include "daemon/trial_book.hpp"

#include "core/record/trial_of_run.hpp"

namespace nestcup::daemon {

Result<StoredRun> TrialBook::add_run(Store& store, StoredRun run, Json record,
                                     const RevisionNote& note) {
  if (sheet_) {
    const auto given = given_runs(store, *sheet_);
    if (!given && given.error().kind == Fault::io) return given.error();
    // Where the records cannot be read, the run is stored in no trial: it must not be lost.
    const auto turn = given ? next_open_trial(*sheet_, *given) : std::nullopt;
    if (turn) give_to_trial(record, *sheet_, sheet_->trials[turn->trial], turn->number);
    if (auto kept = store.keep_sheet(stored_sheet(*sheet_, note.wall_us)); !kept) {
      return kept.error();
    }
  }
  run.record_json = record.dump();
  const auto number = store.add_run(run, note);
  if (!number) return number.error();
  look(store);
  return store.find_run(std::to_string(*number));
}

void TrialBook::look(const Store& store) {
  if (!sheet_) return;
  const auto given = given_runs(store, *sheet_);
  if (!given) return;
  const std::lock_guard lock(mutex_);
  next_ = next_open_trial(*sheet_, *given);
}

std::optional<TrialTurn> TrialBook::next() const {
  const std::lock_guard lock(mutex_);
  return next_;
}

}  // namespace nestcup::daemon

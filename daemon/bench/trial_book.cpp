#include "daemon/bench/trial_book.hpp"

#include "core/record/assign.hpp"
#include "core/record/trial_of_run.hpp"

namespace nestcup::daemon {
namespace {

std::optional<TrialTurn> turn_of(const Sheet& sheet, const std::vector<GivenRun>& given,
                                 const std::string* choice) {
  if (choice == nullptr) return next_open_trial(sheet, given);
  const auto index = trial_named(sheet, *choice);
  if (!index) return next_open_trial(sheet, given);
  return TrialTurn{*index, free_number(sheet.trials[*index], given)};
}

}  // namespace

TrialBook::TrialBook(std::optional<Sheet> sheet) {
  if (sheet) sheet_ = std::make_shared<const Sheet>(std::move(*sheet));
}

Result<StoredRun> TrialBook::add_run(Store& store, StoredRun run, Json record,
                                     const RevisionNote& note) {
  const auto [sheet, choice] = plan();
  if (sheet) {
    const auto given = given_runs(store, *sheet);
    if (!given && given.error().kind == Fault::io) return given.error();
    // Where the records cannot be read, the run is stored in no trial: it must not be lost.
    const auto turn = given ? turn_of(*sheet, *given, choice.get()) : std::nullopt;
    if (turn) give_to_trial(record, *sheet, sheet->trials[turn->trial], turn->number);
    if (auto kept = store.keep_sheet(stored_sheet(*sheet, note.wall_us)); !kept) {
      return kept.error();
    }
  }
  run.record_json = record.dump();
  const auto number = store.add_run(run, note);
  if (!number) return number.error();
  look(store, choice);
  return store.find_run(std::to_string(*number));
}

void TrialBook::look(const Store& store) {
  look(store, nullptr);
}

/// @param done  a choice that has had its run; one that came meanwhile stays
void TrialBook::look(const Store& store, const Choice& done) {
  const auto sheet = this->sheet();
  if (!sheet) return;
  auto given = given_runs(store, *sheet);
  const std::lock_guard lock(mutex_);
  if (given) given_ = std::move(given).value();
  if (done && choice_ == done) choice_ = nullptr;
}

void TrialBook::use(Sheet sheet, const Store& store) {
  auto given = given_runs(store, sheet);
  const std::lock_guard lock(mutex_);
  if (given) given_ = std::move(given).value();
  sheet_ = std::make_shared<const Sheet>(std::move(sheet));
  if (choice_ && sheet_->find(*choice_) == nullptr) choice_ = nullptr;
}

Result<void> TrialBook::choose(const std::string& trial) {
  const std::lock_guard lock(mutex_);
  if (!sheet_) {
    return Error{Fault::usage,
                 "the bench has no sheet, and so no trials; name one in the bench file and start "
                 "the daemon anew"};
  }
  if (trial.empty() || trial == no_trial) {
    choice_ = nullptr;
    return {};
  }
  const auto index = trial_named(*sheet_, trial);
  if (!index) return index.error();
  choice_ = std::make_shared<const std::string>(trial);
  return {};
}

std::shared_ptr<const Sheet> TrialBook::sheet() const {
  const std::lock_guard lock(mutex_);
  return sheet_;
}

TrialBook::Plan TrialBook::plan() const {
  const std::lock_guard lock(mutex_);
  return {sheet_, choice_};
}

TrialState TrialBook::state() const {
  const std::lock_guard lock(mutex_);
  TrialState state{sheet_, std::nullopt, choice_ != nullptr};
  if (sheet_ && given_) state.next = turn_of(*sheet_, *given_, choice_.get());
  return state;
}

}  // namespace nestcup::daemon

#include "core/record/assign.hpp"

#include <fmt/format.h>

#include "core/record/run_record.hpp"
#include "core/record/stored_run.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/sheet/sheet_file.hpp"

namespace nestcup {

namespace {

Error no_sheet(const StoredRun& run) {
  return {Fault::usage,
          fmt::format("run {} has no sheet, and none is named; name one with --sheet, "
                      "or a bench that has one",
                      run.number)};
}

/// The sheet that the assignment names, else the run's own.
Result<Sheet> sheet_for(const Store& store, const Assignment& assignment, const StoredRun& run,
                        const Json& record) {
  if (assignment.sheet) return *assignment.sheet;
  const auto kept = kept_sheet(store, record);
  if (!kept) return kept.error();
  if (!*kept) return no_sheet(run);
  return parse_sheet((*kept)->text, fmt::format("the sheet of run {}", run.number));
}

Error there_already(const StoredRun& run) {
  return {Fault::usage, fmt::format("run {} is {} already", run.number, trial_words(run))};
}

Result<void> give(Store& store, const Assignment& assignment, const StoredRun& run, TimeUs now_us,
                  Json& record) {
  const Json trial = record.at("trial");
  if (assignment.trial == no_trial) {
    if (trial.is_null()) return there_already(run);
    give_to_none(record);
    return {};
  }
  const auto sheet = sheet_for(store, assignment, run, record);
  if (!sheet) return sheet.error();
  const auto index = trial_named(*sheet, assignment.trial);
  if (!index) return index.error();
  const SheetTrial& wanted = sheet->trials[*index];
  const bool is_its_sheet = !trial.is_null() && record.at("sheet").at("title") == sheet->title;
  if (is_its_sheet && trial.at("name") == wanted.name) return there_already(run);
  const auto given = given_runs(store, *sheet);
  if (!given) return given.error();
  give_to_trial(record, *sheet, wanted, free_number(wanted, *given));
  return store.keep_sheet(stored_sheet(*sheet, now_us));
}

}  // namespace

Result<StoredRun> assign_run(Store& store, const Assignment& assignment, const RevisionNote& note) {
  const auto run = store.find_run(assignment.run);
  if (!run) return run.error();
  try {
    Json record = Json::parse(run->record_json);
    if (auto given = give(store, assignment, *run, note.wall_us, record); !given) {
      return given.error();
    }
    record["revision"] = run->revision + 1;
    if (auto added = store.add_revision(run->id, run->revision, run->status, record.dump(), note);
        !added) {
      return added.error();
    }
  } catch (const Json::exception& problem) {
    return unreadable_record(store.path(), run->number, problem);
  }
  return store.find_run(run->id);
}

std::string trial_words(const StoredRun& run) {
  const Json record = Json::parse(run.record_json);
  const Json& trial = record.at("trial");
  if (trial.is_null()) return "in no trial";
  return fmt::format("trial {}, repeat {}", trial.at("name").get<std::string>(),
                     trial.at("number").get<int>());
}

}  // namespace nestcup

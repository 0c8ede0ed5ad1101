#include "core/record/recompute.hpp"

#include <fmt/format.h>

#include "core/record/stored_run.hpp"
#include "core/record/trial_of_run.hpp"

namespace nestcup {

namespace {

/// Whether amounts of this sheet are those of the run.
bool is_sheet_of(const Json& record, const Sheet& sheet) {
  const Json& named = record.at("sheet");
  if (named.is_null() || named.at("title") != sheet.title) return false;
  const Json& trial = record.at("trial");
  return trial.is_null() || sheet.find(trial.at("name").get<std::string>()) != nullptr;
}

/// An export knows the start in whole milliseconds: times of the clock stay as they were, unless
/// the mixing moved.
void keep_wall_times(const Json& before, Json& after) {
  after["started_at"] = before.at("started_at");
  after["finished_at"] = before.at("finished_at");
  if (after.at("mixing").at("time_s") == before.at("mixing").at("time_s")) {
    after["mixed_at"] = before.at("mixed_at");
  }
}

/// What of a record can differ: not its revision, and of the program only its analysis.
Json comparable(Json record) {
  record.erase("revision");
  record.erase("status");
  record.erase("content_sha256");
  record["software"] = record.at("software").at("analysis");
  return record;
}

std::string why_different(const Json& before, const Json& after) {
  std::string why;
  if (before.at("sheet") != after.at("sheet")) why = "sheet changed";
  const Json& old_analysis = before.at("software").at("analysis");
  const Json& analysis = after.at("software").at("analysis");
  if (old_analysis != analysis) {
    why += fmt::format("{}analysis {} instead of {}", why.empty() ? "" : "; ", analysis.dump(),
                       old_analysis.dump());
  }
  return why.empty() ? "worked out anew" : why;
}

Result<Recomputed> made_anew(const RunBook& book, const StoredRun& run,
                             const std::optional<Sheet>& sheet) {
  Recomputed made{run, Json::parse(run.record_json), std::nullopt, ""};
  if (run.status != "finished") {
    made.why = "struck out";
    return made;
  }
  const bool by_sheet = sheet && is_sheet_of(made.before, *sheet);
  const auto again = analysed_again(book, run, by_sheet ? sheet : std::nullopt);
  if (!again) return again.error();
  if (!*again) {
    made.why = "its readings show no mixing any more";
    return made;
  }
  Json record = (*again)->made.record;
  keep_wall_times(made.before, record);
  if (comparable(record) == comparable(made.before)) return made;
  made.why = why_different(made.before, record);
  made.after = with_status(std::move(record), run.status, run.revision + 1);
  return made;
}

}  // namespace

Result<Recomputed> recompute(const RunBook& book, const StoredRun& run,
                             const std::optional<Sheet>& sheet) {
  try {
    return made_anew(book, run, sheet);
  } catch (const Json::exception& problem) {
    return unreadable_record(book.name(), run.number, problem);
  }
}

Result<void> store_recomputed(Store& store, const Recomputed& recomputed,
                              const std::optional<Sheet>& sheet, RevisionNote note) {
  if (!recomputed.after) return {};
  if (note.reason.empty()) note.reason = recomputed.why;
  const Json& named = recomputed.after->at("sheet");
  if (sheet && named.is_object() && named.at("sha256") == sheet->sha256) {
    if (auto kept = store.keep_sheet(stored_sheet(*sheet, note.wall_us)); !kept) return kept;
  }
  return store.add_revision(recomputed.run.id, recomputed.run.revision, recomputed.run.status,
                            recomputed.after->dump(), note);
}

}  // namespace nestcup

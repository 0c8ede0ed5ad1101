// What is done with one run of a database where machines share the work.
#include "core/notebook/verify.hpp"
#include "core/record/recompute.hpp"
#include "core/record/seal.hpp"
#include "tools/sharing/shared.hpp"

namespace nestcup {

namespace {

/// A revision may have come since the task was put up.
Result<StoredRun> as_it_is_now(const PostgresBook& book, StoredRun run) {
  const auto revisions = book.revisions(run.id);
  if (!revisions) return revisions.error();
  if (revisions->empty() || revisions->back().revision == run.revision) return run;
  run.revision = revisions->back().revision;
  run.record_json = revisions->back().record_json;
  const Json record = Json::parse(run.record_json, nullptr, false);
  if (record.is_object()) run.status = record.value("status", run.status);
  return run;
}

}  // namespace

Result<DoneTask> recomputed_task(const PostgresBook& book, const StoredRun& run,
                                 const PostgresRun& row) {
  DoneTask done{row.id, row.revision, "same", "", ""};
  const auto made = recompute(book, run, std::nullopt);
  if (!made) {
    if (made.error().kind != Fault::bad_data) return made.error();
    done.outcome = "failed";
    done.said = made.error().text;
    return done;
  }
  done.said = made->why;
  if (made->after) {
    Json record = with_status(*made->after, run.status, run.revision);
    seal(record);
    done.outcome = "changed";
    done.record = record.dump();
  } else if (!made->why.empty()) {
    done.outcome = "left";
  }
  return done;
}

Result<DoneTask> verified_task(const PostgresBook& book, const StoredRun& run,
                               const PostgresRun& row) {
  const auto chain = PostgresRuns(book.session()).links(row.id);
  if (!chain) return chain.error();
  const auto now = as_it_is_now(book, run);
  if (!now) return now.error();
  const auto checked = run_of_store(book, *now, chain->book, chain->links);
  if (!checked) return checked.error();
  const RunVerdict verdict = verify_run(*checked);
  DoneTask done{row.id, row.revision, verdict.well() ? "well" : "wrong", "", ""};
  for (const CheckNote& fault : verdict.faults) {
    done.said += (done.said.empty() ? "" : "; ") + fault.text;
  }
  return done;
}

}  // namespace nestcup

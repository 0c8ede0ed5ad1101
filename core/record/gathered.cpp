#include "core/record/gathered.hpp"

#include <fmt/format.h>

#include "core/record/results_input.hpp"

namespace nestcup {

Result<void> gather_record(const Json& record, const std::string& from, Gathered& gathered) {
  auto facts = record_facts(record);
  if (!facts) return Error{Fault::bad_data, from + ": " + facts.error().text};
  if (facts->facts) {
    gathered.runs.push_back(std::move(*facts->facts));
  } else {
    const Json& trial = record.at("trial");
    gathered.left_out.push_back(
        {from, trial.is_null() ? "" : trial.at("name").get<std::string>(), facts->left_out, ""});
  }
  return {};
}

Result<void> gather_runs(const RunBook& book, Gathered& gathered) {
  const auto runs = book.runs();
  if (!runs) return runs.error();
  for (const StoredRun& run : *runs) {
    const auto gathered_one =
        gather_record(Json::parse(run.record_json), fmt::format("run {}", run.number), gathered);
    if (!gathered_one) return gathered_one;
    if (run.status != "struck") continue;
    const auto revisions = book.revisions(run.id);
    if (!revisions) return revisions.error();
    gathered.left_out.back().reason = revisions->back().note.reason;
  }
  return {};
}

Results worked_out(const Sheet& sheet, const Gathered& gathered) {
  Results results = work_out(sheet, gathered.runs);
  for (const LeftOut& run : gathered.left_out) {
    // A run of another day's sheet is none of this one's business.
    if (sheet.find(run.trial) == nullptr) continue;
    const std::string reason = run.reason.empty() ? "" : " (" + run.reason + ")";
    results.notes.add({"run-left-out",
                       Severity::note,
                       run.trial,
                       fmt::format("{} is {}{} and does not count.", run.run, run.why, reason),
                       {{"run", run.run}, {"reason", reason}},
                       run.why == "struck out" ? "struck" : "unusable"});
  }
  return results;
}

}  // namespace nestcup

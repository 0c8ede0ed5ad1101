#include "core/notebook/report_runs.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "core/analysis/rise/hand_line.hpp"
#include "core/base/time_text.hpp"
#include "core/record/gathered.hpp"
#include "core/record/stored_run.hpp"
#include "core/record/trace_file.hpp"
#include "core/report/charts/run_drawing.hpp"
#include "core/report/words/cautions.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup {
namespace {

std::vector<ChartPoint> points(const Curve& curve) {
  std::vector<ChartPoint> all;
  for (const Point& point : curve) all.push_back({point.time_s, point.temperature_degC});
  return all;
}

/// Adds what only the readings tell.
void add_readings(ReportRun& run, const ReplayedRun& again, Language language) {
  std::vector<ProbeRole> roles;
  for (const Json& probe : again.made.record.at("probes")) {
    roles.push_back(role_from_name(probe.at("role").get<std::string>()).value_or(ProbeRole::cup));
  }
  const RunInput read = all_readings(again.run, roles);
  run.cup = points(read.cup);
  run.added = points(read.added);
  const RunInput input = run_input(again.run, roles);
  const RunAnalysis& analysis = again.made.analysis;
  run.hand_K = again.run.tour ? hand_lines_K(input.cup, analysis.mixing_time_s.value)
                              : hand_line_K(input.cup, analysis.mixing_time_s.value);
  const Json& trial = run.record.at("trial");
  const std::string title = trial.is_null()
                                ? run.name
                                : fmt::format("{} {}", trial.at("name").get<std::string>(),
                                              trial.at("number").get<int>());
  run.chart = run_chart(again, title, language);
}

bool belongs(const Json& record, const Sheet& sheet) {
  const Json& trial = record.at("trial");
  return !trial.is_null() && sheet.find(trial.at("name").get<std::string>()) != nullptr;
}

Result<std::vector<HistoryEntry>> history_of(const RunBook& book, const std::string& id) {
  const auto revisions = book.revisions(id);
  if (!revisions) return revisions.error();
  std::vector<HistoryEntry> history;
  for (const StoredRevision& revision : *revisions) {
    const RevisionNote& note = revision.note;
    history.push_back(
        {revision.revision, note.action, note.reason, note.who, rfc3339(note.wall_us)});
  }
  return history;
}

}  // namespace

Result<std::vector<ReportRun>> report_runs(
    const RunBook& book, const Sheet& sheet, Language language,
    const std::function<Result<void>(int, std::size_t)>& tell) {
  const auto stored = book.runs();
  if (!stored) return stored.error();
  std::vector<ReportRun> runs;
  for (const StoredRun& one : *stored) {
    ReportRun run;
    run.name = fmt::format("run {}", one.number);
    run.record = Json::parse(one.record_json);
    if (!belongs(run.record, sheet)) continue;
    if (auto told = tell(one.number, stored->size()); !told) return told.error();
    const auto again = analysed_again(book, one);
    if (!again) return again.error();
    if (*again) add_readings(run, **again, language);
    auto history = history_of(book, one.id);
    if (!history) return history.error();
    run.history = std::move(*history);
    runs.push_back(std::move(run));
  }
  return runs;
}

Result<ReportRun> report_run(const std::string& path, Language language) {
  const auto text = file_bytes(path);
  if (!text) return text.error();
  ReportRun run;
  run.name = std::filesystem::path(path).parent_path().filename().string();
  if (run.name.empty()) run.name = path;
  run.record = Json::parse(*text, nullptr, false);
  if (run.record.is_discarded() || run.record.value("format", "") != "nestcup-run") {
    return Error{Fault::bad_data, path + ": is no run record; run.json of a notebook is expected"};
  }
  const auto beside = std::filesystem::path(path).parent_path() / "readings.csv";
  if (!std::filesystem::exists(beside)) return run;
  const auto trace = read_trace(beside.string());
  if (!trace) return trace.error();
  const std::string id = run.record.at("id");
  for (const ReplayedRun& again : replay_trace(*trace, {}, [&] { return id; })) {
    const auto& digest = again.made.record.at("readings").at("sha256");
    if (digest == run.record.at("readings").at("sha256")) add_readings(run, again, language);
  }
  return run;
}

Result<Document> made_report(const Sheet& sheet, std::vector<ReportRun> runs,
                             const ReportOptions& options) {
  Gathered gathered;
  for (const ReportRun& run : runs) {
    if (auto taken = gather_record(run.record, run.name, gathered); !taken) return taken.error();
    const bool is_struck = run.record.at("status") == "struck";
    if (is_struck && !run.history.empty()) {
      gathered.left_out.back().reason = run.history.back().reason;
    }
  }
  const Results results = worked_out(sheet, gathered);
  return report_document(
      {sheet, results, std::move(runs), cautions(sheet, Texts(options.language))}, options);
}

}  // namespace nestcup

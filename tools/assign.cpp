// nestcup assign: which trial a run is for, mended by hand.
#include "core/record/assign.hpp"

#include <fmt/format.h>

#include "core/record/run_record.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/store_change.hpp"

namespace nestcup {
namespace {

Result<StoredRun> assign_in_store(const std::string& path, const Assignment& assignment,
                                  const std::string& reason) {
  StoredRun run;
  const auto done = change_store(path, [&](Store& store) -> Result<void> {
    auto changed = assign_run(store, assignment, note_now("assigned", reason));
    if (!changed) return changed.error();
    run = std::move(changed).value();
    return {};
  });
  if (!done) return done.error();
  return run;
}

Result<StoredRun> assign_by_daemon(const BenchFile& bench, const Assignment& assignment,
                                   const std::string& reason) {
  nlohmann::json body{{"trial", assignment.trial}, {"reason", reason}};
  if (assignment.sheet) body["sheet_text"] = assignment.sheet->text;
  const auto answer =
      call(bench.control, "POST", "/v1/runs/" + percent_encoded(assignment.run) + "/assign", body);
  if (!answer) return answer.error();
  StoredRun run;
  run.number = answer->at("number").get<int>();
  run.revision = answer->at("revision").get<int>();
  run.record_json = answer->at("record").dump();
  return run;
}

/// Through the daemon where one runs, else in the store.
Result<StoredRun> assigned(const cli::Parsed& parsed) {
  const std::string reason = parsed.text("reason").value_or("");
  const auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  Assignment assignment{*parsed.text("RUN"), *parsed.text("TRIAL"), std::nullopt};
  if (assignment.trial != no_trial) {
    auto sheet = chosen_sheet(parsed);
    if (!sheet) return sheet.error();
    assignment.sheet = std::move(sheet).value();
  }
  if (!parsed.text("store")) {
    const auto bench = chosen_bench(parsed);
    if (!bench) return bench.error();
    auto answer = assign_by_daemon(*bench, assignment, reason);
    if (answer || answer.error().kind != Fault::unavailable) return answer;
  }
  return assign_in_store(*path, assignment, reason);
}

int run_assign(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto run = assigned(parsed);
  if (!run) return cli::report_error(streams, run.error());
  if (parsed.flag("json")) {
    streams.out << run->record_json << '\n';
  } else {
    streams.out << fmt::format("run {} is {}\n", run->number, trial_words(*run));
  }
  return 0;
}

}  // namespace

cli::CommandSpec assign_command() {
  cli::CommandSpec command;
  command.name = "assign";
  command.summary = "give a run to another trial, or to none";
  command.description = {
      "The daemon gives each finished run to the next open trial of its sheet. Where that was "
      "another than the one that was done, this mends it: the run gets a new revision as the next "
      "repeat of TRIAL, with the amounts of the sheet; \"none\" takes it out of any trial. The "
      "earlier revision stays readable (nestcup show --revision).",
      "The sheet is the one that --sheet names, else the bench's, else the one that the run's "
      "record names."};
  command.options = store_options();
  command.options.push_back(sheet_option());
  command.options.push_back(
      {.name = "reason", .value_name = "TEXT", .help = "why; it stays in the run's history"});
  command.options.push_back({.name = "json", .help = "print the run's record as it is then"});
  command.arguments = {{"RUN", "its number, its id, or the end of its id"},
                       {"TRIAL", "the name of a trial of the sheet, or none"}};
  command.examples = {{"nestcup assign 3 oxide --reason done-first", "run 3 is for oxide"},
                      {"nestcup assign 5 none", "run 5 was a rehearsal"}};
  command.exit_notes = {{64, "no such trial, it belongs there already, or there is no sheet"},
                        {65, "the sheet is wrong"},
                        {66, "no such run, store or sheet"},
                        {75, "another process writes the store; ask it through --bench"}};
  command.run = run_assign;
  return command;
}

}  // namespace nestcup

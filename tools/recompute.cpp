// nestcup recompute: stored runs worked out anew, by the sheet as it is now.
#include "core/record/recompute_runs.hpp"

#include <fmt/format.h>

#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"
#include "tools/recompute/account.hpp"
#include "tools/store_change.hpp"

namespace nestcup {
namespace {

/// What the options ask for.
struct Task {
  std::vector<std::string> which;  ///< empty: all
  std::optional<Sheet> sheet;
  bool dry_run = false;
  int threads = 1;
};

Result<std::vector<StoredRun>> runs_of(const Store& store, const Task& task) {
  if (task.which.empty()) return store.runs();
  std::vector<StoredRun> runs;
  for (const std::string& which : task.which) {
    auto run = store.find_run(which);
    if (!run) return run.error();
    if (run->status != "finished") {
      return Error{Fault::usage, fmt::format("run {} is struck out; restore it first (nestcup "
                                             "restore {})",
                                             run->number, run->number)};
    }
    runs.push_back(std::move(run).value());
  }
  return runs;
}

/// @param change  nothing for a dry run
Result<void> recompute_all(const Store& store, Store* change, const Task& task,
                           cli::Streams& streams, RecomputeAccount& account) {
  const auto runs = runs_of(store, task);
  if (!runs) return runs.error();
  Progress progress(streams);
  std::size_t done = 0;
  const auto take = [&](const Recomputed& made) -> Result<void> {
    if (change != nullptr) {
      auto stored = store_recomputed(*change, made, task.sheet, note_now("recomputed", ""));
      if (!stored) return stored;
    }
    account.take(made);
    progress.at(++done, runs->size());
    return {};
  };
  return recompute_runs(store, *runs, task.sheet, task.threads, take);
}

Result<int> chosen_threads(const cli::Parsed& parsed) {
  const auto given = parsed.whole_number("threads");
  if (!given) return given.error();
  if (!*given) return usual_recompute_threads();
  if (**given >= 1 && **given <= most_recompute_threads) return static_cast<int>(**given);
  return Error{Fault::usage,
               fmt::format("option --threads: a whole number from 1 to {} is expected",
                           most_recompute_threads)};
}

Result<void> work(const cli::Parsed& parsed, cli::Streams& streams, RecomputeAccount& account) {
  const auto threads = chosen_threads(parsed);
  if (!threads) return threads.error();
  auto sheet = chosen_sheet(parsed);
  if (!sheet) return sheet.error();
  const Task task{parsed.texts("RUN"), std::move(sheet).value(), parsed.flag("dry-run"), *threads};
  if (task.dry_run) {
    const auto store = chosen_store(parsed);
    if (!store) return store.error();
    return recompute_all(*store, nullptr, task, streams, account);
  }
  const auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  return change_store(
      *path, [&](Store& store) { return recompute_all(store, &store, task, streams, account); });
}

int run_recompute(const cli::Parsed& parsed, cli::Streams& streams) {
  RecomputeAccount account(parsed.flag("json"), parsed.flag("dry-run"), streams);
  const auto done = work(parsed, streams, account);
  if (!done) return cli::report_error(streams, done.error());
  account.close();
  return 0;
}

}  // namespace

cli::CommandSpec recompute_command() {
  cli::CommandSpec command;
  command.name = "recompute";
  command.summary = "work finished runs out anew, by the sheet as it is now";
  command.description = {
      "Makes the record of each run (all, or those named) anew from its readings, by this "
      "program's analysis and the amounts of the sheet as it is now. Where anything differs the "
      "run gets a new revision, which says why, and what changed is printed, the corrected rise "
      "also "
      "in standard uncertainties (u) that it had before; where nothing does, "
      "nothing is written. Earlier revisions stay, and so do the sheets that they were worked out "
      "by (nestcup show --revision, nestcup sheet show --sha256).",
      "Runs of another sheet keep theirs; struck runs are left out. The daemon must not be "
      "running: "
      "it alone writes the store then."};
  command.options = store_options();
  command.options.push_back(sheet_option());
  command.options.push_back({.name = "dry-run", .help = "only say what would change"});
  command.options.push_back(
      {.name = "threads",
       .value_name = "N",
       .help = "1 to 64; without it as many as there are processors; the results are the same"});
  command.options.push_back(json_option());
  command.arguments = {
      {"RUN", "numbers, ids, or ends of ids; without them all", 0, cli::any_number}};
  command.examples = {{"nestcup recompute --dry-run", "what would the corrected amounts change?"},
                      {"nestcup recompute 3 4", "runs 3 and 4 anew"}};
  command.exit_notes = {{65, "the sheet is wrong"},
                        {66, "no such run, store or sheet"},
                        {75, "the daemon runs, or another process writes the store"}};
  command.run = run_recompute;
  return command;
}

}  // namespace nestcup

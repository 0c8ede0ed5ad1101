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
#include "tools/sharing/shared.hpp"

namespace nestcup {
namespace {

/// What the options ask for.
struct Task {
  std::vector<std::string> which;  ///< empty: all
  std::optional<Sheet> sheet;
  bool dry_run = false;
  int threads = 1;
};

Result<std::vector<StoredRun>> runs_of(const RunBook& book, const Task& task) {
  if (task.which.empty()) return book.runs();
  std::vector<StoredRun> runs;
  for (const std::string& which : task.which) {
    auto run = book.find_run(which);
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
Result<void> recompute_all(const RunBook& book, Store* change, const Task& task,
                           cli::Streams& streams, RecomputeAccount& account) {
  const auto runs = runs_of(book, task);
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
  return recompute_runs(book, *runs, task.sheet, task.threads, take);
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
  const auto choice = run_choice(parsed);
  if (!choice) return choice.error();
  if (task.dry_run) {
    const auto book = chosen_book(parsed, *choice);
    if (!book) return book.error();
    return recompute_all(**book, nullptr, task, streams, account);
  }
  const auto path = chosen_book_path(parsed);
  if (!path) return path.error();
  return change_store(
      *path, [&](Store& store) { return recompute_all(store, &store, task, streams, account); });
}

bool asks_to_share(const cli::Parsed& parsed) {
  return parsed.text("workers") || parsed.text("lease") || parsed.flag("again") ||
         (chosen_database(parsed) && !parsed.flag("dry-run"));
}

/// Records of a database are made anew beside those of the benches, by any number of machines.
int recompute_shared(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto shared = shared_work(parsed, "recompute");
  if (!shared) return cli::report_error(streams, shared.error());
  for (const char* option : {"sheet", "threads", "dry-run", "RUN", "bench", "store"}) {
    if (!parsed.flag(option)) continue;
    return cli::report_error(
        streams, {Fault::usage,
                  fmt::format("{}{}: not for the shared work on a database, which takes each "
                              "run by its own sheet; say which runs with --course, --since "
                              "and others",
                              option == std::string("RUN") ? "argument " : "option --", option)});
  }
  return run_shared(*shared, recomputed_task,
                    {{"changed", "changed"}, {"same", "the same"}, {"left", "left as they are"}},
                    {"failed", "cannot be worked out"}, parsed.flag("json"), streams);
}

int run_recompute(const cli::Parsed& parsed, cli::Streams& streams) {
  if (asks_to_share(parsed)) return recompute_shared(parsed, streams);
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
      "it alone writes the store then.",
      "With --from and a course's database the runs of all benches are worked out anew, each by "
      "the sheet that its record names. Any number of machines can run this at once: they share "
      "the runs, and what a machine had that was switched off is done by the others. What came out "
      "differently is kept beside the bench's record, which stays, and counts from then on until "
      "the bench brings a newer one. What is done by this version of the analysis is not done "
      "again. The user must be a nestcup_worker."};
  command.options = book_and_choice_options();
  command.options.push_back(sheet_option());
  command.options.push_back({.name = "dry-run", .help = "only say what would change"});
  command.options.push_back(
      {.name = "threads",
       .value_name = "N",
       .help = "1 to 64; without it as many as there are processors; the results are the same"});
  for (cli::OptionSpec& option : shared_options()) command.options.push_back(std::move(option));
  command.options.push_back(json_option());
  command.arguments = {
      {"RUN", "numbers, ids, or ends of ids; without them all", 0, cli::any_number}};
  command.examples = {{"nestcup recompute --dry-run", "what would the corrected amounts change?"},
                      {"nestcup recompute 3 4", "runs 3 and 4 anew"},
                      {"nestcup recompute --from postgres://ruth@db.school.example/course",
                       "a course's database, with whoever does the same elsewhere"}};
  command.exit_notes = {{65, "the sheet is wrong"},
                        {66, "no such run, store or sheet"},
                        {75, "the daemon runs, or another process writes the store"}};
  command.run = run_recompute;
  return command;
}

}  // namespace nestcup

// nestcup recompute: stored runs worked out anew, by the sheet as it is now.
#include "core/record/recompute.hpp"

#include <fmt/format.h>

#include <chrono>
#include <functional>

#include "core/base/uncertain_text.hpp"
#include "core/record/quantity_json.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/record_text.hpp"
#include "tools/store_change.hpp"

namespace nestcup {
namespace {

constexpr auto progress_every = std::chrono::seconds(2);

/// What the options ask for.
struct Task {
  std::vector<std::string> which;  ///< empty: all
  std::optional<Sheet> sheet;
  bool dry_run = false;
};

using Tell = std::function<void(const Recomputed&)>;

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

/// Says on standard error how far long work is.
class Progress {
 public:
  Progress(std::size_t total, cli::Streams& streams) : total_(total), streams_(streams) {}

  void at(std::size_t done) {
    const auto now = std::chrono::steady_clock::now();
    if (now - told_ < progress_every) return;
    told_ = now;
    streams_.err << fmt::format("{}: {} of {} runs\n", streams_.program, done, total_)
                 << std::flush;
  }

 private:
  std::size_t total_;
  cli::Streams& streams_;
  std::chrono::steady_clock::time_point told_ = std::chrono::steady_clock::now();
};

/// @param change  nothing for a dry run
Result<void> recompute_all(const Store& store, Store* change, const Task& task,
                           cli::Streams& streams, const Tell& tell) {
  const auto runs = runs_of(store, task);
  if (!runs) return runs.error();
  Progress progress(runs->size(), streams);
  for (std::size_t i = 0; i < runs->size(); ++i) {
    const auto made = recompute(store, (*runs)[i], task.sheet);
    if (!made) return made.error();
    if (change != nullptr) {
      const auto stored = store_recomputed(*change, *made, task.sheet, note_now("recomputed", ""));
      if (!stored) return stored.error();
    }
    tell(*made);
    progress.at(i + 1);
  }
  return {};
}

std::string mixture_text(const Json& record) {
  const Json& rise = record.at("mixture_rise_K");
  return rise.is_null() ? "not known" : uncertain_text(quantity_of(rise), "K");
}

std::string sheet_text(const Json& record) {
  const Json& sheet = record.at("sheet");
  return sheet.is_null() ? "none" : sheet.at("sha256").get<std::string>().substr(0, 12);
}

/// Each thing that is another one than before, on a line.
std::string change_text(const Recomputed& made) {
  if (!made.after) {
    if (made.why.empty()) return fmt::format("run {}: as it was\n", made.run.number);
    return fmt::format("run {}: {}; left as it is\n", made.run.number, made.why);
  }
  std::string text = fmt::format("run {}: {}\n", made.run.number, made.why);
  const auto line = [&](const char* label, const std::string& before, const std::string& after) {
    if (before != after) text += fmt::format("  {:<14}{}, was {}\n", label, after, before);
  };
  line("rise", rise_text(made.before), rise_text(*made.after));
  line("mixture rise", mixture_text(made.before), mixture_text(*made.after));
  line("sheet", sheet_text(made.before), sheet_text(*made.after));
  return text;
}

Json facts_json(const Json& record) {
  return {{"revision", record.at("revision")},
          {"sheet", record.at("sheet")},
          {"corrected_rise_K",
           {{"value", record.at("corrected_rise_K").at("value")},
            {"u", record.at("corrected_rise_K").at("u")}}},
          {"mixture_rise_K", record.at("mixture_rise_K")},
          {"analysis", record.at("software").at("analysis")}};
}

Json change_json(const Recomputed& made) {
  return {{"number", made.run.number},
          {"id", made.run.id},
          {"changed", made.after.has_value()},
          {"why", made.why.empty() ? Json(nullptr) : Json(made.why)},
          {"before", facts_json(made.before)},
          {"after", made.after ? facts_json(*made.after) : Json(nullptr)}};
}

/// What came of the runs, for people or for scripts.
class Account {
 public:
  Account(const cli::Parsed& parsed, cli::Streams& streams)
      : is_json_(parsed.flag("json")), dry_run_(parsed.flag("dry-run")), streams_(streams) {}

  void take(const Recomputed& made) {
    ++runs_;
    if (made.after) ++changed_;
    if (is_json_) {
      list_.push_back(change_json(made));
    } else if (made.after || !made.why.empty()) {
      streams_.out << change_text(made);
    }
  }

  void close() const {
    if (is_json_) {
      streams_.out << Json{{"dry_run", dry_run_}, {"runs", list_}}.dump() << '\n';
    } else {
      streams_.out << fmt::format("{} of {} runs {}\n", changed_, runs_,
                                  dry_run_ ? "would change; nothing is written" : "changed");
    }
  }

 private:
  bool is_json_;
  bool dry_run_;
  cli::Streams& streams_;
  int runs_ = 0;
  int changed_ = 0;
  Json list_ = Json::array();
};

Result<void> work(const cli::Parsed& parsed, cli::Streams& streams, Account& account) {
  auto sheet = chosen_sheet(parsed);
  if (!sheet) return sheet.error();
  const Task task{parsed.texts("RUN"), std::move(sheet).value(), parsed.flag("dry-run")};
  const Tell tell = [&](const Recomputed& made) { account.take(made); };
  if (task.dry_run) {
    const auto store = chosen_store(parsed);
    if (!store) return store.error();
    return recompute_all(*store, nullptr, task, streams, tell);
  }
  const auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  return change_store(
      *path, [&](Store& store) { return recompute_all(store, &store, task, streams, tell); });
}

int run_recompute(const cli::Parsed& parsed, cli::Streams& streams) {
  Account account(parsed, streams);
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
      "run gets a new revision, which says why, and what changed is printed; where nothing does, "
      "nothing is written. Earlier revisions stay, and so do the sheets that they were worked out "
      "by (nestcup show --revision, nestcup sheet show --sha256).",
      "Runs of another sheet keep theirs; struck runs are left out. The daemon must not be "
      "running: "
      "it alone writes the store then."};
  command.options = store_options();
  command.options.push_back(sheet_option());
  command.options.push_back({.name = "dry-run", .help = "only say what would change"});
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

// nestcup import: runs that were carried out, taken into a store.
#include <fmt/format.h>

#include <filesystem>

#include "core/base/exit_code.hpp"
#include "core/notebook/import_runs.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"

namespace nestcup {
namespace {

/// What the options name.
struct ImportCall {
  std::string store;
  std::optional<std::string> only;
  bool dry_run = false;
};

Result<ImportCall> call_of(const cli::Parsed& parsed) {
  ImportCall call{"", parsed.text("only"), parsed.flag("dry-run")};
  auto path = chosen_store_path(parsed);
  if (!path) return path.error();
  call.store = std::move(*path);
  return call;
}

Result<std::vector<KeptPlace>> opened(const std::vector<std::string>& paths) {
  std::vector<KeptPlace> places;
  for (const std::string& path : paths) {
    auto place = KeptPlace::open(path);
    if (!place) return place.error();
    places.push_back(std::move(*place));
  }
  return places;
}

Result<Imported> look_through(const ImportCall& call, const ImportPlan& plan,
                              const std::function<void(int, int)>& progress) {
  if (!std::filesystem::exists(call.store)) return import_runs(plan, nullptr, nullptr, progress);
  const auto look = Store::open(call.store, StoreMode::read);
  if (!look) return look.error();
  return import_runs(plan, &*look, nullptr, progress);
}

Result<Imported> take_in(const ImportCall& call, const ImportPlan& plan,
                         const std::function<void(int, int)>& progress) {
  // A file that is no store is refused before a lock is put beside it.
  if (std::filesystem::exists(call.store)) {
    if (const auto store = Store::open(call.store, StoreMode::read); !store) return store.error();
  }
  const auto lock = StoreLock::take(call.store, "nestcup");
  if (!lock) return lock.error();
  auto store = Store::open(call.store, StoreMode::write);
  if (!store) return store.error();
  const auto look = Store::open(call.store, StoreMode::read);
  if (!look) return look.error();
  return import_runs(plan, &*look, &*store, progress);
}

const char* outcome_word(ImportOutcome outcome) {
  switch (outcome) {
    case ImportOutcome::added:
      return "added";
    case ImportOutcome::continued:
      return "continued";
    case ImportOutcome::there:
      return "there";
    case ImportOutcome::refused:
      return "refused";
  }
  return "refused";
}

Json imported_json(const ImportedRun& run) {
  return {{"id", run.id},
          {"bench", run.bench.empty() ? Json(nullptr) : Json(run.bench)},
          {"where", run.where},
          {"outcome", outcome_word(run.outcome)},
          {"number", run.number == 0 ? Json(nullptr) : Json(run.number)},
          {"number_before", run.number_before},
          {"revisions_added", run.revisions},
          {"reasons", run.reasons}};
}

std::string imported_text(const ImportedRun& run, bool dry_run) {
  const char* const would = dry_run ? "would be " : "";
  std::string text = run.where + ": ";
  switch (run.outcome) {
    case ImportOutcome::added:
      text += fmt::format("{}added as run {}", would, run.number);
      if (run.number != run.number_before) text += fmt::format(" (was {})", run.number_before);
      if (run.revisions > 1) text += fmt::format(", {} revisions", run.revisions);
      break;
    case ImportOutcome::continued:
      text += fmt::format("run {} {}continued by {} revisions", run.number, would, run.revisions);
      break;
    case ImportOutcome::there:
      text += fmt::format("is there already as run {}", run.number);
      break;
    case ImportOutcome::refused:
      text += "refused";
      break;
  }
  text += '\n';
  for (const std::string& reason : run.reasons) text += "  " + reason + '\n';
  return text;
}

/// Tells what became of the runs. @return the exit code
int tell(const Imported& imported, const std::vector<std::string>& problems, bool dry_run,
         bool is_json, cli::Streams& streams) {
  int added = 0;
  int there = 0;
  int refused = static_cast<int>(problems.size());
  Json runs = Json::array();
  for (const ImportedRun& run : imported.runs) {
    if (run.outcome == ImportOutcome::refused)
      ++refused;
    else if (run.outcome == ImportOutcome::there)
      ++there;
    else
      ++added;
    if (is_json)
      runs.push_back(imported_json(run));
    else
      streams.out << imported_text(run, dry_run);
  }
  if (is_json) {
    streams.out << Json{{"dry_run", dry_run},   {"runs", runs},
                        {"problems", problems}, {"chain_taken_over", imported.took_over_chain},
                        {"added", added},       {"there", there},
                        {"refused", refused}}
                       .dump()
                << '\n';
  } else {
    for (const std::string& problem : problems) streams.out << "refused: " << problem << '\n';
    streams.out << fmt::format("{} runs {}, {} there already, {} refused{}\n", added,
                               dry_run ? "would be taken" : "taken", there, refused,
                               dry_run ? "; nothing is written" : "");
  }
  return refused == 0 ? 0 : exit_code(Fault::bad_data);
}

int run_import(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto call = call_of(parsed);
  if (!call) return cli::report_error(streams, call.error());
  std::vector<std::string> paths = parsed.texts("PLACE");
  if (const auto from = parsed.text("from")) paths.push_back(*from);
  if (paths.empty()) {
    return cli::report_error(
        streams, {Fault::usage, "argument PLACE is missing; or --from for a course's database"});
  }
  const auto places = opened(paths);
  if (!places) return cli::report_error(streams, places.error());
  std::vector<std::string> problems;
  for (const KeptPlace& place : *places) {
    problems.insert(problems.end(), place.problems().begin(), place.problems().end());
  }
  Progress progress(streams);
  const auto told = [&](int done, int total) { progress.at(done, total); };
  const auto plan = plan_import(*places, call->only, told);
  if (!plan) return cli::report_error(streams, plan.error());
  if (plan->runs.empty() && problems.empty()) {
    return cli::report_error(streams, {Fault::no_input, "nothing to import: no runs there"});
  }
  const auto imported =
      call->dry_run ? look_through(*call, *plan, told) : take_in(*call, *plan, told);
  if (!imported) return cli::report_error(streams, imported.error());
  return tell(*imported, problems, call->dry_run, parsed.flag("json"), streams);
}

}  // namespace

cli::CommandSpec import_command() {
  cli::CommandSpec command;
  command.name = "import";
  command.summary = "take runs from a notebook or an archive into a store";
  command.description = {
      "Takes runs that were carried out into the bench's store, which is made if it is not there: "
      "records of all revisions with what was done and why, readings with their raw quantities, "
      "and sheets. Each is checked by its digests before; a broken one is refused with the reason. "
      "A run that is there stays as it is and gets the revisions that it has not got. Cut off and "
      "begun again, nothing is there twice.",
      "Runs keep their numbers where these are free. A store without runs goes on with the chain "
      "of records of the one that was lost, where all of it is here. A store is of one bench: "
      "where PLACE holds runs of several, --only names one. Calibrations of probes are not among "
      "what is carried out; records keep those that they were made with. The daemon must not be "
      "running."};
  command.options = store_options();
  command.options.push_back({.name = "from",
                             .value_name = "PLACE",
                             .help = "one more PLACE: a course's database",
                             .complete = {cli::Hint::file}});
  command.options.push_back({.name = "only",
                             .value_name = "BENCH",
                             .help = "runs of this bench alone, by its name in the records"});
  command.options.push_back({.name = "dry-run", .help = "only say what would be taken"});
  command.options.push_back(json_option());
  command.arguments = {
      {"PLACE",
       "a notebook's folder, a run's folder, a crate, a zip or .eln archive, or the "
       "address of a database (postgres://USER@HOST/DATABASE)",
       0,
       cli::any_number,
       {cli::Hint::file}}};
  command.examples = {{"nestcup import --dry-run notebook/", "what would be taken?"},
                      {"nestcup import --store new.db notebook/", "a store that was lost"}};
  command.exit_notes = {{65, "a run is broken or differs from the store's; the others were taken"},
                        {66, "no such place, or no runs in it"},
                        {75, "the daemon runs, or another process writes the store"}};
  command.run = run_import;
  return command;
}

}  // namespace nestcup

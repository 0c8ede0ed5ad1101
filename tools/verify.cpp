// nestcup verify: whether readings, records and the chain of records belong together.
#include <fmt/format.h>

#include "core/base/exit_code.hpp"
#include "core/notebook/postgres/place.hpp"
#include "core/notebook/verify_all.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"
#include "tools/sharing/shared.hpp"

namespace nestcup {
namespace {

constexpr const char* words_well = "belongs together";
constexpr const char* words_wrong = "does not belong together";

/// What the options name.
struct Named {
  std::optional<Store> store;
  std::vector<std::string> places;
  std::map<std::string, std::string> notebooks;
  std::map<std::string, NotebookSettings> databases;  ///< of the notebooks, by their addresses
};

/// Places alone need no bench; a bench brings its store and its notebooks.
Result<Named> named(const cli::Parsed& parsed) {
  Named found;
  found.places = parsed.texts("PLACE");
  if (const auto from = parsed.text("from")) found.places.push_back(*from);
  if (!found.places.empty() && !parsed.text("store") && !parsed.text("bench")) return found;
  if (!parsed.text("store")) {
    const auto bench = chosen_bench(parsed);
    if (!bench) return bench.error();
    for (const NotebookSettings& notebook : bench->notebooks) {
      if (notebook.kind != "folder" && notebook.kind != "postgres") continue;
      if (notebook.kind == "postgres") found.databases.emplace(notebook.target, notebook);
      found.notebooks.emplace(notebook.target, notebook_name(notebook));
      found.places.push_back(notebook.target);
    }
  }
  auto store = chosen_store(parsed);
  if (!store) return store.error();
  found.store.emplace(std::move(store).value());
  return found;
}

Json notes_json(const std::vector<CheckNote>& notes) {
  Json list = Json::array();
  for (const CheckNote& note : notes) list.push_back({{"code", note.code}, {"text", note.text}});
  return list;
}

Json number_or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

const char* verdict_words(bool well) {
  return well ? words_well : words_wrong;
}

Json run_json(const RunVerdict& run) {
  std::optional<double> difference_K;
  if (run.recorded_rise_K && run.anew_rise_K)
    difference_K = *run.anew_rise_K - *run.recorded_rise_K;
  return {{"number", run.number},
          {"id", run.id},
          {"bench", run.bench.empty() ? Json(nullptr) : Json(run.bench)},
          {"revision", run.revision},
          {"where", run.where},
          {"verdict", verdict_words(run.well())},
          {"problems", notes_json(run.faults)},
          {"notes", notes_json(run.notes)},
          {"rise_K",
           {{"recorded", number_or_null(run.recorded_rise_K)},
            {"anew", number_or_null(run.anew_rise_K)},
            {"difference_K", number_or_null(difference_K)}}}};
}

Json chain_json(const PlaceChain& chain) {
  const auto& end = chain.end();
  return {{"where", chain.where()},
          {"book", chain.book()},
          {"links", chain.links()},
          {"end", end ? Json(end->links) : Json(nullptr)},
          {"last_sha256", end ? Json(end->last_sha256) : Json(nullptr)},
          {"verdict", verdict_words(chain.faults().empty())},
          {"problems", notes_json(chain.faults())},
          {"notes", notes_json(chain.notes())}};
}

/// " (rise 6.21412 K, worked out anew 6.21412 K)": to a hundredth of a millikelvin, as far as
/// there.
std::string rises(const RunVerdict& run) {
  if (!run.recorded_rise_K || !run.anew_rise_K) return "";
  return fmt::format(" (rise {:.5f} K, worked out anew {:.5f} K)", *run.recorded_rise_K,
                     *run.anew_rise_K);
}

/// What was found, for people or for scripts.
class VerifyAccount {
 public:
  VerifyAccount(bool is_json, cli::Streams& streams) : is_json_(is_json), streams_(streams) {}

  void take(const RunVerdict& run) {
    if (is_json_) {
      runs_.push_back(run_json(run));
      return;
    }
    tell(run.where, run.faults, run.notes, rises(run));
  }

  void close(const Verification& all) {
    if (is_json_) {
      Json chains = Json::array();
      for (const PlaceChain& chain : all.chains) chains.push_back(chain_json(chain));
      streams_.out
          << Json{{"runs", runs_},    {"chains", chains},   {"problems", all.problems},
                  {"well", all.well}, {"wrong", all.wrong}, {"tolerance_K", rise_tolerance_K}}
                 .dump()
          << '\n';
      return;
    }
    for (const PlaceChain& chain : all.chains) {
      tell(fmt::format("{}: chain {} of {} links", chain.where(), book_mark(chain.book()),
                       chain.links()),
           chain.faults(), chain.notes(), "");
    }
    for (const std::string& problem : all.problems) {
      streams_.out << tone(words_wrong, cli::Tone::bad) << ": " << problem << '\n';
    }
    streams_.out << (all.well == 1 ? "1 run belongs together"
                                   : fmt::format("{} runs belong together", all.well));
    if (all.wrong > 0) {
      streams_.out << tone(fmt::format("; wrong: {} (runs, chains or places)", all.wrong),
                           cli::Tone::bad);
    }
    streams_.out << '\n';
  }

 private:
  [[nodiscard]] std::string tone(std::string_view text, cli::Tone tone) const {
    return cli::toned(text, tone, streams_.colour);
  }

  void tell(const std::string& what, const std::vector<CheckNote>& faults,
            const std::vector<CheckNote>& notes, const std::string& more) {
    const bool well = faults.empty();
    streams_.out << what << ": "
                 << tone(verdict_words(well), well ? cli::Tone::good : cli::Tone::bad) << more
                 << '\n';
    for (const CheckNote& fault : faults) streams_.out << "  " << fault.text << '\n';
    for (const CheckNote& note : notes) streams_.out << "  note: " << note.text << '\n';
  }

  bool is_json_;
  cli::Streams& streams_;
  Json runs_ = Json::array();
};

/// Runs of a database, each for itself, by any number of machines.
int verify_shared(const cli::Parsed& parsed, cli::Streams& streams) {
  if (!parsed.texts("PLACE").empty() || parsed.text("bench") || parsed.text("store")) {
    return cli::report_error(streams, {Fault::usage,
                                       "--workers is for --from and a database alone; "
                                       "name no other place beside it"});
  }
  const auto shared = shared_work(parsed, "verify");
  if (!shared) return cli::report_error(streams, shared.error());
  return run_shared(*shared, verified_task, {{"well", words_well}}, {"wrong", words_wrong},
                    parsed.flag("json"), streams);
}

int run_verify(const cli::Parsed& parsed, cli::Streams& streams) {
  if (parsed.text("workers")) return verify_shared(parsed, streams);
  for (const char* option : {"lease", "again", "only", "course", "since", "before", "last"}) {
    if (!parsed.flag(option)) continue;
    return cli::report_error(
        streams, {Fault::usage, fmt::format("option --{}: belongs to --workers", option)});
  }
  const auto what = named(parsed);
  if (!what) return cli::report_error(streams, what.error());
  VerifyAccount account(parsed.flag("json"), streams);
  Progress progress(streams);
  VerifyTask task{what->store ? &*what->store : nullptr, what->places, what->notebooks};
  task.open = [&](const std::string& place) {
    const auto database = what->databases.find(place);
    return database == what->databases.end() ? KeptPlace::open(place)
                                             : postgres_place(database->second);
  };
  task.take = [&](const RunVerdict& run) { account.take(run); };
  task.progress = [&](int done, int total) { progress.at(done, total); };
  const auto found = verify_all(task);
  if (!found) return cli::report_error(streams, found.error());
  if (found->well + found->wrong == 0) {
    return cli::report_error(streams, {Fault::no_input, "nothing to verify: no runs there yet"});
  }
  account.close(*found);
  return found->wrong == 0 ? 0 : exit_code(Fault::bad_data);
}

}  // namespace

cli::CommandSpec verify_command() {
  cli::CommandSpec command;
  command.name = "verify";
  command.summary = "check that readings, records and their chain belong together";
  command.description = {
      "For every run: the digest of its readings, the digests of its records, its links in the "
      "chain of records, and the corrected rise worked out anew from the readings, which must be "
      "the recorded one within 0.000001 K where this program's analysis made it. Then the chain: "
      "no link missing, each joined to the one before, and its end as the store, and every "
      "notebook, keeps it. So a reading or a record that was changed, dropped or taken away shows, "
      "and records cut off at the end, as long as one notebook or the store still knows them.",
      "Without PLACE: the bench's store, and its notebooks that are folders or databases. PLACE is "
      "a "
      "notebook's folder, a run's folder, a crate, a zip or .eln archive, or the address of a "
      "database (postgres://USER@HOST/DATABASE); with --store or --bench it is held against that "
      "store, too. Nothing is written. Pages and charts that people edited are "
      "noted and are no fault.",
      "With --from a database and --workers its runs are checked each for itself, and any number "
      "of "
      "machines share them as with nestcup recompute; what was found is kept in the database. "
      "Whether links are missing between the runs, only the call without --workers tells."};
  command.options = store_options();
  command.options.push_back({.name = "from",
                             .value_name = "PLACE",
                             .help = "one more PLACE: a course's database",
                             .complete = {cli::Hint::file}});
  for (cli::OptionSpec& option : shared_options()) command.options.push_back(std::move(option));
  for (cli::OptionSpec& option : choice_options()) command.options.push_back(std::move(option));
  command.options.push_back(json_option());
  command.arguments = {{"PLACE",
                        "folders, archives or databases of runs that were carried out",
                        0,
                        cli::any_number,
                        {cli::Hint::file}}};
  command.examples = {{"nestcup verify", "this bench's store and notebooks"},
                      {"nestcup verify class-2026.eln", "an archive that came from elsewhere"},
                      {"nestcup verify --store bench.db notebook/", "a store beside a copy"}};
  command.exit_notes = {{65, "something does not belong together, or cannot be read"},
                        {66, "nothing there: no such store or place, or no runs yet"}};
  command.run = run_verify;
  return command;
}

}  // namespace nestcup

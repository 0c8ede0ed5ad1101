// nestcup sync: carries finished runs to the notebooks now.
#include <fmt/format.h>

#include <chrono>
#include <limits>
#include <optional>
#include <thread>

#include "core/notebook/notebook.hpp"
#include "core/record/stored_run.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"
#include "tools/store_change.hpp"
#include "tools/sync/carry_here.hpp"
#include "tools/sync/owed_page.hpp"

namespace nestcup {
namespace {

constexpr auto look_again = std::chrono::milliseconds(200);
constexpr int most_lines = 10;

Result<SyncPlace> place_of(const cli::Parsed& parsed) {
  const auto store = chosen_store_path(parsed);
  if (!store) return store.error();
  SyncPlace place{*store, std::nullopt};
  if (parsed.text("store")) return place;
  auto bench = chosen_bench(parsed);
  if (!bench) return bench.error();
  place.bench = std::move(*bench);
  return place;
}

/// Looks on while the daemon carries; it has been told to.
Result<void> watch(const SyncPlace& place, cli::Streams& streams) {
  Progress progress(streams);
  while (true) {
    const auto store = Store::open(place.store, StoreMode::read);
    if (!store) return store.error();
    const auto notebooks = owed_in(*store, notebook_names(place), 1);
    if (!notebooks) return notebooks.error();
    bool under_way = false;
    std::optional<Error> failed;
    for (const OwedToNotebook& one : *notebooks) {
      if (!one.count.in_use || one.count.owed == 0) continue;
      const bool waits = !one.first.empty() && !one.first.front().blocked &&
                         one.first.front().next_try_us > note_now("", "").wall_us;
      if (waits) failed = {Fault::try_later, one.count.notebook + ": " + one.first.front().reason};
      under_way = under_way || !waits;
      progress.say(owed_words(one.count.notebook, one.count.owed));
    }
    if (!under_way) return failed ? Result<void>(*failed) : Result<void>{};
    std::this_thread::sleep_for(look_again);
  }
}

Result<void> carry_now(const SyncPlace& place, cli::Streams& streams) {
  if (place.bench) {
    const auto asked = call(place.bench->control, "POST", "/v1/sync", nlohmann::json::object());
    if (asked) return watch(place, streams);
    if (asked.error().kind != Fault::unavailable) return asked.error();
  }
  return carry_here(place, streams);
}

/// What a pass would carry, without touching anything.
Result<std::string> dry_page(const Store& store, const std::vector<OwedToNotebook>& notebooks) {
  std::string text;
  for (const OwedToNotebook& one : notebooks) {
    for (const OwedRevision& owed : one.first) {
      const auto first = store.revisions(owed.run_id);
      if (!first) return first.error();
      try {
        text += fmt::format("run {} revision {} -> {}: {}\n", owed.run_number, owed.revision,
                            owed.notebook, entry_folder(Json::parse(first->front().record_json)));
      } catch (const Json::exception& problem) {
        return unreadable_record(store.path(), owed.run_number, problem);
      }
    }
  }
  return text.empty() ? std::string("nothing is owed\n") : text;
}

int show(const cli::Parsed& parsed, const SyncPlace& place, cli::Streams& streams, int most) {
  const auto store = Store::open(place.store, StoreMode::read);
  if (!store) return cli::report_error(streams, store.error());
  const auto notebooks = owed_in(*store, notebook_names(place), most);
  if (!notebooks) return cli::report_error(streams, notebooks.error());
  if (parsed.flag("json")) {
    streams.out << owed_json(*notebooks).dump() << '\n';
  } else if (parsed.flag("dry-run")) {
    const auto page = dry_page(*store, *notebooks);
    if (!page) return cli::report_error(streams, page.error());
    streams.out << *page;
  } else {
    streams.out << owed_page(*notebooks, note_now("", "").wall_us);
  }
  for (const OwedToNotebook& one : *notebooks) {
    if (one.count.blocked > 0 && !parsed.flag("status") && !parsed.flag("dry-run")) {
      return cli::report_error(
          streams, {Fault::bad_data, fmt::format("{}: {} blocked, see above", one.count.notebook,
                                                 one.count.blocked)});
    }
  }
  return 0;
}

int run_sync(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto place = place_of(parsed);
  if (!place) return cli::report_error(streams, place.error());
  if (parsed.flag("status")) return show(parsed, *place, streams, most_lines);
  if (parsed.flag("dry-run")) {
    return show(parsed, *place, streams, std::numeric_limits<int>::max());
  }
  const auto carried = carry_now(*place, streams);
  if (carried) return show(parsed, *place, streams, most_lines);
  // What is still owed is told where the store itself is not what failed.
  if (Store::open(place->store, StoreMode::read)) show(parsed, *place, streams, most_lines);
  return cli::report_error(streams, carried.error());
}

}  // namespace

cli::CommandSpec sync_command() {
  cli::CommandSpec command;
  command.name = "sync";
  command.summary = "carry finished runs to the notebooks now";
  command.description = {
      "The daemon carries finished runs to the notebooks that the bench file names by itself, and "
      "tries again where one is away. This asks it to do so now, or does it where no daemon runs, "
      "and says what has been carried and what is still owed, since when and why. What was blocked "
      "(another's folder in its place, say) is tried once more.",
      "What has arrived is never written over: a page that somebody wrote in stays, and a new "
      "revision lies beside it."};
  command.options = store_options();
  command.options.push_back(
      {.name = "status", .help = "only say what is owed, since when and why"});
  command.options.push_back({.name = "dry-run", .help = "only say what would be carried where"});
  command.options.push_back(json_option());
  command.examples = {{"nestcup sync", "carry everything that is owed"},
                      {"nestcup sync --status", "what is owed, since when, and why?"}};
  command.exit_notes = {{65, "something is blocked until a person looks at it"},
                        {66, "no such bench file or store"},
                        {75, "a notebook is away, or another process writes the store; try later"}};
  command.run = run_sync;
  return command;
}

}  // namespace nestcup

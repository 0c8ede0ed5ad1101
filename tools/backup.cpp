// nestcup backup: a copy of the store, also while the daemon logs.
#include "core/store/backup.hpp"

#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>

#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/progress.hpp"

namespace nestcup {
namespace {

std::string stage_words(BackupStage stage, std::int64_t done, std::int64_t total) {
  if (stage == BackupStage::checking) return "copied; the copy is being checked";
  const double part = total > 0 ? static_cast<double>(done) / static_cast<double>(total) : 0.0;
  return fmt::format("{:.0f} % copied", 100.0 * part);
}

int run_backup(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto store = chosen_store_path(parsed);
  if (!store) return cli::report_error(streams, store.error());
  const BackupOrder order{*store, *parsed.text("out"), parsed.flag("compact")};
  Progress progress(streams);
  const auto begun = std::chrono::steady_clock::now();
  const auto facts = back_up(order, [&](BackupStage stage, std::int64_t done, std::int64_t total) {
    progress.say(stage_words(stage, done, total));
  });
  if (!facts) return cli::report_error(streams, facts.error());
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - begun;
  if (parsed.flag("json")) {
    streams.out << nlohmann::ordered_json{{"store", order.store},          {"copy", order.copy},
                                          {"compact", order.compact},      {"bytes", facts->bytes},
                                          {"readings", facts->readings},   {"runs", facts->runs},
                                          {"revisions", facts->revisions}, {"took_s", took.count()}}
                       .dump()
                << '\n';
  } else {
    streams.out << fmt::format(
        "{}: {} readings, {} runs with {} revisions, {:.1f} MB, copied and checked in {:.1f} s\n",
        order.copy, facts->readings, facts->runs, facts->revisions,
        static_cast<double>(facts->bytes) * 1e-6, took.count());
  }
  return 0;
}

std::vector<std::string> backup_description() {
  return {
      "Copies the store as it is at this moment, while the daemon goes on: readings, runs with all "
      "revisions, sheets, calibrations, the chain of records, and what is owed to notebooks. The "
      "copy appears under its name only when it is whole, on the disk, and found sound, with as "
      "many rows in each table as the store had. A file that is there is never written over, and "
      "a copy that fails (a full disk, a cut-off program) harms nothing. The copy is a store like "
      "any other: every command that takes --store reads it.",
      "To go back to a copy: stop the daemon; move the store and the files beside it that begin "
      "with its name (-wal, -shm) to another folder, and keep them; copy the backup to the store's "
      "place; nestcup verify; start the daemon. Runs that were finished since are in the notebook, "
      "if the bench has one: nestcup import NOTEBOOK takes them into the store before the daemon "
      "starts. The bench file and the sheet's file as it is now are files of their own: copy them, "
      "too.",
      "With --compact the copy is built anew without the room that removed readings left, and will "
      "itself give such room back to the disk, which a store begun by an earlier version does not. "
      "To go on with it, the daemon must be stopped, so that nothing is missing from it; then it "
      "takes the store's place as above."};
}

}  // namespace

cli::CommandSpec backup_command() {
  cli::CommandSpec command;
  command.name = "backup";
  command.summary = "copy the store while the daemon goes on";
  command.description = backup_description();
  command.options = store_options();
  command.options.push_back({.name = "out",
                             .value_name = "COPY",
                             .help = "the copy's file, which must not be there yet",
                             .complete = {cli::Hint::file},
                             .required = true});
  command.options.push_back(
      {.name = "compact", .help = "without free room in it; the daemon must be stopped"});
  command.options.push_back(json_option());
  command.examples = {
      {"nestcup backup --out /media/stick/bench-4.db", "a copy of this moment"},
      {"nestcup backup --store bench-4.db --compact --out smaller.db", "one without free room"}};
  command.exit_notes = {{65, "the store is damaged, or no store; there is no copy"},
                        {66, "no such store"},
                        {73, "COPY is there already, or cannot be made"},
                        {74, "there is no room for it, or the disk fails"},
                        {75, "another program makes this copy; with --compact: the daemon runs"}};
  command.run = run_backup;
  return command;
}

}  // namespace nestcup

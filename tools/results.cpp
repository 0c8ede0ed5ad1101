// nestcup results: a sheet worked out from typed runs, a store's runs and record files.
#include "core/chemistry/results.hpp"

#include <fmt/format.h>

#include <fstream>
#include <sstream>

#include "core/record/gathered.hpp"
#include "core/record/results_json.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/toml_section.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/results/results_page.hpp"

namespace nestcup {
namespace {

Result<void> take_file(const std::string& path, Gathered& gathered) {
  const auto text = file_bytes(path);
  if (!text) return text.error();
  const Json record = Json::parse(*text, nullptr, false);
  if (record.is_discarded()) {
    return Error{Fault::bad_data, path + ": is no JSON; a run record (run.json) is expected"};
  }
  return gather_record(record, path, gathered);
}

/// The sheet that --sheet names, else the bench's.
Result<std::string> sheet_path(const cli::Parsed& parsed) {
  if (const auto path = parsed.text("sheet")) return *path;
  if (!parsed.text("bench")) {
    return Error{Fault::usage, "no sheet: name one with --sheet, or a bench that has one"};
  }
  const auto bench = chosen_bench(parsed);
  if (!bench) return bench.error();
  if (bench->sheet.empty()) {
    return Error{Fault::usage, bench->path + ": has no sheet; name one with --sheet"};
  }
  return bench->sheet;
}

/// @param course  title of the sheet: a database may hold runs of many
Result<Gathered> gather(const cli::Parsed& parsed, const std::string& course) {
  auto choice = run_choice(parsed);
  if (!choice) return choice.error();
  if (!choice->course) choice->course = course;
  Gathered gathered;
  const auto records = parsed.texts("RECORD");
  for (const std::string& path : records) {
    if (const auto taken = take_file(path, gathered); !taken) return taken.error();
  }
  if (names_book(parsed)) {
    const auto book = chosen_book(parsed, *choice);
    if (!book) return book.error();
    if (const auto taken = gather_runs(**book, gathered); !taken) return taken.error();
  }
  return gathered;
}

/// The daemon keeps results back from those who are not at this machine, or shows them again.
int hide_or_show(const cli::Parsed& parsed, cli::Streams& streams) {
  const bool hide = parsed.flag("hide");
  if (hide && parsed.flag("show")) {
    return cli::report_error(streams, {Fault::usage, "options --hide and --show: give one"});
  }
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const auto answer =
      call(bench->control, "POST", "/v1/results/hidden", nlohmann::json{{"hidden", hide}});
  if (!answer) return cli::report_error(streams, answer.error());
  streams.out << (hide ? "results are hidden on the page, and shown on this machine alone\n"
                       : "results are shown\n");
  return 0;
}

int run_results(const cli::Parsed& parsed, cli::Streams& streams) {
  if (parsed.flag("hide") || parsed.flag("show")) return hide_or_show(parsed, streams);
  const auto path = sheet_path(parsed);
  if (!path) return cli::report_error(streams, path.error());
  const auto sheet = read_sheet(*path);
  if (!sheet) return cli::report_error(streams, sheet.error());
  const auto gathered = gather(parsed, sheet->title);
  if (!gathered) return cli::report_error(streams, gathered.error());
  const Results results = worked_out(*sheet, *gathered);
  if (parsed.flag("json")) {
    streams.out << results_json(results).dump() << '\n';
  } else {
    streams.out << results_page(*sheet, results, streams.colour);
  }
  return 0;
}

}  // namespace

cli::CommandSpec results_command() {
  cli::CommandSpec command;
  command.name = "results";
  command.summary = "work a sheet out: constant, heats, enthalpies, cycle";
  command.description = {
      "Takes the runs typed into the sheet, the finished runs of a store, a bench or a course's "
      "database, and run records "
      "(run.json), and works out the calorimeter constant, what each trial is for, and the cycle, "
      "each with its standard uncertainty and where that comes from. What trials share "
      "(instruments, "
      "stocks, the constant, probes) errs together, and the cycle takes account of it.",
      "Change an amount in the sheet and ask again: the runs themselves are never touched.",
      "With --hide the daemon keeps what comes out (rises, heats, enthalpies, report) from all who "
      "do not ask on this machine's control socket, so that a class works it out by itself; "
      "readings, curves and findings stay in sight. --show ends that."};
  command.options = book_and_choice_options();
  command.options.push_back(sheet_option());
  command.options.push_back(json_option());
  command.options.push_back(
      {.name = "hide", .help = "let the daemon show results on this machine alone; stays so"});
  command.options.push_back({.name = "show", .help = "let the daemon show results to all again"});
  command.arguments = {{"RECORD", "run records", 0, cli::any_number, {cli::Hint::file}}};
  command.examples = {
      {"nestcup results --bench bench.toml", "the bench's runs by the bench's sheet"},
      {"nestcup results --sheet paper.toml", "runs that were typed into the sheet"},
      {"nestcup results --sheet oxide.toml notebook/*/run.json --json", "records, for scripts"},
      {"nestcup results --hide", "nobody sees them on the page until --show"}};
  command.exit_notes = {{65, "the sheet or a record is wrong"},
                        {66, "no such file"},
                        {69, "--hide, --show: no daemon answers"}};
  command.run = run_results;
  return command;
}

}  // namespace nestcup

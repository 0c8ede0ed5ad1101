// nestcup pool: the benches of a class side by side.
#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "core/classroom/class_result.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "core/pool/anonymous.hpp"
#include "core/pool/collected.hpp"
#include "tools/pool/outputs.hpp"
#include "tools/pool/pool_charts.hpp"

namespace nestcup {
namespace {

Result<void> write_csv(const std::string& path, const std::string& text) {
  if (std::filesystem::exists(path)) {
    return Error{Fault::cannot_create, path + ": is there already; name a new file"};
  }
  std::ofstream file(path, std::ios::binary);
  file << text;
  file.close();
  if (!file) return Error{Fault::cannot_create, path + ": cannot be written"};
  return {};
}

/// The database or store that --from names; null without it.
Result<std::unique_ptr<RunBook>> named_book(const cli::Parsed& parsed) {
  const auto choice = run_choice(parsed);
  if (!choice) return choice.error();
  const auto from = parsed.text("from");
  if (!from && parsed.texts("PLACE").empty()) {
    return Error{Fault::usage, "argument PLACE is missing; or --from for a course's database"};
  }
  if (!from) return std::unique_ptr<RunBook>();
  return book_from(*from, *choice);
}

Result<pooled::Collected> collected(const cli::Parsed& parsed) {
  const auto book = named_book(parsed);
  if (!book) return book.error();
  auto found = pooled::collect(parsed.texts("PLACE"), book->get(), parsed.text("sheet"));
  if (!found) return found;
  if (found->sheets.empty()) {
    return Error{Fault::bad_data,
                 found->nowhere.empty()
                     ? "no finished run is in what was named"
                     : fmt::format("none of the {} runs names a sheet that is kept; give one for "
                                   "all with --sheet",
                                   found->nowhere.size())};
  }
  if (parsed.flag("anonymous") || parsed.flag("nameless")) pooled::take_names_away(*found);
  return found;
}

int run_pool(const cli::Parsed& parsed, cli::Streams& streams) {
  if (parsed.flag("json") && parsed.text("csv") == "-") {
    return cli::report_error(
        streams, {Fault::usage, "--json and --csv - both go to standard output: name a CSV file"});
  }
  auto found = collected(parsed);
  if (!found) return cli::report_error(streams, found.error());
  std::vector<ClassResult> results;
  for (pooled::SheetBenches& sheet : found->sheets) {
    results.push_back(class_result(std::move(sheet.benches)));
  }
  const pooled::PoolContext context{std::move(found->nowhere), std::move(found->notes),
                                    parsed.flag("nameless")};
  const auto path = parsed.text("csv");
  if (path == "-") {
    streams.out << pool_csv(results, context);
    return 0;
  }
  if (path) {
    if (auto written = write_csv(*path, pool_csv(results, context)); !written) {
      return cli::report_error(streams, written.error());
    }
  }
  if (const auto folder = parsed.text("charts")) {
    const auto written = pooled::write_charts(results, context, *folder);
    if (!written) return cli::report_error(streams, written.error());
    for (const std::string& chart : *written) {
      streams.err << fmt::format("{}: {}\n", streams.program, chart);
    }
  }
  if (parsed.flag("json")) {
    streams.out << pool_json(results, context).dump() << '\n';
  } else {
    streams.out << pool_page(results, context, streams.colour);
  }
  return 0;
}

std::vector<cli::OptionSpec> options() {
  std::vector<cli::OptionSpec> all{
      {.name = "sheet",
       .value_name = "FILE",
       .help = "one sheet for all benches; without it each has its own",
       .complete = {cli::Hint::file}},
      json_option(),
      {.name = "csv",
       .value_name = "FILE",
       .help = "also write a new CSV file, a row for each bench and quantity; - prints it alone",
       .complete = {cli::Hint::file}},
      {.name = "charts",
       .value_name = "FOLDER",
       .help = "also draw a new .svg of each quantity",
       .complete = {cli::Hint::directory}},
      {.name = "anonymous", .help = "letters for benches' names, in an order that says nothing"},
      {.name = "nameless", .help = "no names or letters; rows of two tables cannot be matched"},
      from_option()};
  for (cli::OptionSpec& option : choice_options()) all.push_back(std::move(option));
  return all;
}

}  // namespace

cli::CommandSpec pool_command() {
  cli::CommandSpec command;
  command.name = "pool";
  command.summary = "hold the benches of a class side by side";
  command.description = {
      "Takes benches' stores, folders (with a store, or with run records in them) and single run "
      "records, works each bench out by its own sheet, and puts benches whose sheets have the same "
      "title side by side: mean, robust mean and spread, how much of it lies between benches and "
      "how much within, each bench's value with its distance from the others, and what is "
      "accepted. "
      "With --from the benches are those of a course's database. "
      "A bench is known by the name in its records; where one name comes from two places, it "
      "counts "
      "as two.",
      "Benches that lie off are looked into: whether the lid was off, whether one stock, cylinder, "
      "balance or probe explains all that is off, and what the records themselves say. It says "
      "what "
      "it looks like, how far that is to be trusted, and what to look at; nobody is to blame. Runs "
      "that were struck out are named with the reason that was given, and count nowhere."};
  command.options = options();
  command.arguments = {
      {"PLACE", "stores, folders or run records", 0, cli::any_number, {cli::Hint::file}}};
  command.examples = {
      {"nestcup pool bench-*/bench.db", "a class by its stores"},
      {"nestcup pool class/* --anonymous --csv class.csv", "folders; letters for names; a table"},
      {"nestcup pool --from postgres://teacher@db.school.example/course --since 2026-09-01",
       "a term of a course's database"},
      {"nestcup pool --sheet class.toml notebook/*/run.json --json", "records, for scripts"}};
  command.exit_notes = {{65, "a sheet, store or record is wrong, or there are no runs"},
                        {66, "no such file or folder"},
                        {73, "the CSV file or a chart is there already or cannot be made"}};
  command.run = run_pool;
  return command;
}

}  // namespace nestcup

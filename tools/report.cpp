// nestcup report: what is handed in, as a page and as tables.
#include "core/report/pages/report.hpp"

#include <fmt/format.h>

#include "core/notebook/report_runs.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/report/report_files.hpp"

namespace nestcup {
namespace {

Result<ReportOptions> chosen_options(const cli::Parsed& parsed) {
  ReportOptions options;
  const auto language = language_from_tag(*parsed.text("language"));
  if (!language) return Error{Fault::usage, "option --language: en or de is expected"};
  options.language = *language;
  options.without_results = parsed.flag("without-results");
  options.by = parsed.text("by").value_or("");
  return options;
}

Result<Sheet> needed_sheet(const cli::Parsed& parsed) {
  auto sheet = chosen_sheet(parsed);
  if (!sheet) return sheet.error();
  if (*sheet) return std::move(**sheet);
  return Error{Fault::usage, "no sheet: name one with --sheet, or a bench that has one"};
}

/// Runs of the store or bench, then those of record files.
Result<std::vector<ReportRun>> chosen_runs(const cli::Parsed& parsed, const Sheet& sheet,
                                           Language language, cli::Streams& streams) {
  std::vector<ReportRun> runs;
  auto choice = run_choice(parsed);
  if (!choice) return choice.error();
  if (!choice->course) choice->course = sheet.title;  // a database may hold runs of many
  if (names_book(parsed)) {
    const auto book = chosen_book(parsed, *choice);
    if (!book) return book.error();
    auto stored =
        report_runs(**book, sheet, language, [&](int number, std::size_t all) -> Result<void> {
          streams.err << fmt::format("{}: run {} of {}\n", streams.program, number, all);
          return {};
        });
    if (!stored) return stored.error();
    runs = std::move(*stored);
  }
  for (const std::string& path : parsed.texts("RECORD")) {
    auto run = report_run(path, language);
    if (!run) return run.error();
    runs.push_back(std::move(*run));
  }
  return runs;
}

Result<Document> asked_report(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto options = chosen_options(parsed);
  if (!options) return options.error();
  const auto sheet = needed_sheet(parsed);
  if (!sheet) return sheet.error();
  auto runs = chosen_runs(parsed, *sheet, options->language, streams);
  if (!runs) return runs.error();
  return made_report(*sheet, std::move(*runs), *options);
}

int run_report(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto document = asked_report(parsed, streams);
  if (!document) return cli::report_error(streams, document.error());
  const bool replace = parsed.flag("replace");
  const auto page = write_page(*document, *parsed.text("out"), replace);
  if (!page) return cli::report_error(streams, page.error());
  std::vector<std::string> written = *page;
  if (const auto folder = parsed.text("tables")) {
    const CsvKind kind = parsed.flag("semicolon") ? CsvKind::semicolon : CsvKind::comma;
    const auto tables = write_tables(*document, *folder, kind, replace);
    if (!tables) return cli::report_error(streams, tables.error());
    written.insert(written.end(), tables->begin(), tables->end());
  }
  for (const std::string& path : written) streams.out << path << '\n';
  return 0;
}

std::vector<cli::OptionSpec> report_options() {
  std::vector<cli::OptionSpec> options = book_and_choice_options();
  options.push_back(sheet_option());
  options.push_back({.name = "out",
                     .value_name = "FILE",
                     .help = "the page: .html (all in one file) or .md (figures beside it)",
                     .default_text = "report.html",
                     .complete = {cli::Hint::file}});
  options.push_back({.name = "tables",
                     .value_name = "FOLDER",
                     .help = "also every table as a CSV file",
                     .complete = {cli::Hint::directory}});
  options.push_back(
      {.name = "semicolon", .help = "tables for spreadsheets: semicolons and decimal commas"});
  options.push_back({.name = "language",
                     .value_name = "TAG",
                     .help = "en or de",
                     .default_text = "en",
                     .complete = {cli::Hint::words, {"en", "de"}}});
  options.push_back({.name = "without-results",
                     .help = "leave free what follows from the rises, to be worked out by hand"});
  options.push_back({.name = "by", .value_name = "NAME", .help = "who hands it in"});
  options.push_back({.name = "replace", .help = "write over files that are there"});
  return options;
}

}  // namespace

cli::CommandSpec report_command() {
  cli::CommandSpec command;
  command.name = "report";
  command.summary = "write the report of a day: tables, charts and the working";
  command.description = {
      "Takes the runs of a bench, a store, a course's database, or run records (run.json, with "
      "readings.csv beside it), "
      "and the sheet, and writes one page with everything that is handed in: readings, corrected "
      "rises beside what the line by hand would have given, every step of the working with its "
      "numbers put in, results with their uncertainties, the cycle, and how it compares. Struck "
      "runs stay visible and do not count.",
      "With --without-results the teacher gets the page to hand out: readings and rises are there, "
      "what follows from them is left free."};
  command.options = report_options();
  command.arguments = {{"RECORD", "run records", 0, cli::any_number, {cli::Hint::file}}};
  command.examples = {
      {"nestcup report --bench bench.toml", "report.html of the bench's runs"},
      {"nestcup report --bench bench.toml --language de --out bericht.html --by \"Gruppe 4\"",
       "the same in German, with a name"},
      {"nestcup report --sheet oxide.toml notebook/*/run.json --tables tables --semicolon",
       "from a notebook, with tables for a spreadsheet"}};
  command.exit_notes = {{65, "the sheet or a record is wrong"},
                        {66, "no such file"},
                        {73, "a file is there already, or cannot be written"}};
  command.run = run_report;
  return command;
}

}  // namespace nestcup

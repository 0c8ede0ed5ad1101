// nestcup runs, show and export: what the store holds.
#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "core/record/stored_run.hpp"
#include "core/report/charts/run_chart.hpp"
#include "core/report/charts/run_drawing.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/record_text.hpp"

namespace nestcup {
namespace {

std::string text_or(const Json& value, const char* otherwise) {
  return value.is_string() ? value.get<std::string>() : otherwise;
}

/// "oxide 2": the trial and which repeat.
std::string trial_cell(const Json& trial) {
  if (trial.is_null()) return "-";
  return fmt::format("{} {}", text_or(trial.at("name"), "-"), trial.at("number").dump());
}

std::vector<cli::Column> run_columns(bool of_many_benches) {
  std::vector<cli::Column> columns{{"run", cli::Align::right}};
  if (of_many_benches) columns.push_back({"bench"});
  columns.insert(columns.end(), {{"mixed at"},
                                 {"trial"},
                                 {"corrected rise", cli::Align::right},
                                 {"findings", cli::Align::right},
                                 {"status"}});
  return columns;
}

std::vector<std::string> run_row(const StoredRun& run, bool of_many_benches) {
  const Json record = Json::parse(run.record_json);
  std::vector<std::string> row{std::to_string(run.number)};
  if (of_many_benches) row.push_back(text_or(record.at("bench"), "-"));
  row.insert(row.end(), {text_or(record.at("mixed_at"), "-"), trial_cell(record.at("trial")),
                         rise_text(record), std::to_string(record.at("findings").size()),
                         run.status == "struck" ? "struck out" : run.status});
  return row;
}

int list_runs(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto choice = run_choice(parsed);
  if (!choice) return cli::report_error(streams, choice.error());
  const auto book = chosen_book(parsed, *choice);
  if (!book) return cli::report_error(streams, book.error());
  const bool of_many_benches = chosen_database(parsed).has_value();
  const bool is_json = parsed.flag("json");
  cli::Table table(run_columns(of_many_benches));
  bool is_empty = true;
  const auto listed = (*book)->each_run([&](const StoredRun& run) -> Result<void> {
    is_empty = false;
    if (is_json) {
      streams.out << run.record_json << '\n';
      return {};
    }
    try {
      table.add_row(run_row(run, of_many_benches));
    } catch (const Json::exception& problem) {
      return unreadable_record((*book)->name(), run.number, problem);
    }
    return {};
  });
  if (!listed) return cli::report_error(streams, listed.error());
  if (is_json) return 0;
  if (is_empty) {
    streams.err << fmt::format("{}: {}: {}\n", streams.program, (*book)->name(),
                               of_many_benches ? "no such runs" : "no runs yet");
  } else {
    streams.out << table.text(streams.colour);
  }
  return 0;
}

/// What happened to a run after it was finished.
std::string history_text(const std::vector<StoredRevision>& revisions) {
  std::string text;
  for (std::size_t i = 1; i < revisions.size(); ++i) {
    const StoredRevision& revision = revisions[i];
    const RevisionNote& note = revision.note;
    text += fmt::format("  revision {}: {} by {}{}{}\n", revision.revision, note.action, note.who,
                        note.reason.empty() ? "" : ": ", note.reason);
  }
  return text;
}

/// The run with the record of an earlier revision, if one is asked for.
Result<StoredRun> at_revision(StoredRun run, const std::vector<StoredRevision>& revisions,
                              const std::optional<std::string>& wanted) {
  if (!wanted) return run;
  for (const StoredRevision& revision : revisions) {
    if (std::to_string(revision.revision) != *wanted) continue;
    run.revision = revision.revision;
    run.record_json = revision.record_json;
    return run;
  }
  return Error{Fault::no_input, fmt::format("run {} has no revision \"{}\"; there are 1 to {}",
                                            run.number, *wanted, run.revision)};
}

Result<void> draw(const RunBook& book, const StoredRun& run, const std::string& path) {
  const auto again = analysed_again(book, run);
  if (!again) return again.error();
  if (!*again) return Error{Fault::bad_data, "no chart: the readings show no mixing any more"};
  const RunChart chart = run_chart(**again, "Run " + std::to_string(run.number));
  if (std::filesystem::exists(path)) {
    return Error{Fault::cannot_create, path + ": is there already; name a new file"};
  }
  if (path.ends_with(".svg")) return write_chart_svg(chart, path);
  if (path.ends_with(".png")) return write_chart_png(chart, path, 2.0);
  return Error{Fault::usage, "option --chart: a name that ends in .svg or .png is expected"};
}

int show_run(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto book = chosen_book(parsed);
  if (!book) return cli::report_error(streams, book.error());
  const auto newest = (*book)->find_run(*parsed.text("RUN"));
  if (!newest) return cli::report_error(streams, newest.error());
  const auto revisions = (*book)->revisions(newest->id);
  if (!revisions) return cli::report_error(streams, revisions.error());
  const auto run = at_revision(*newest, *revisions, parsed.text("revision"));
  if (!run) return cli::report_error(streams, run.error());
  if (const auto path = parsed.text("chart")) {
    if (auto drawn = draw(**book, *run, *path); !drawn) {
      return cli::report_error(streams, drawn.error());
    }
  }
  if (parsed.flag("json")) {
    streams.out << run->record_json << '\n';
    return 0;
  }
  try {
    streams.out << fmt::format("{}: ", run->number) + record_text(Json::parse(run->record_json))
                << history_text(*revisions);
  } catch (const Json::exception& problem) {
    return cli::report_error(streams, unreadable_record((*book)->name(), run->number, problem));
  }
  return 0;
}

int export_run(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto book = chosen_book(parsed);
  if (!book) return cli::report_error(streams, book.error());
  const auto run = (*book)->find_run(*parsed.text("RUN"));
  if (!run) return cli::report_error(streams, run.error());
  const auto text = export_text(**book, *run);
  if (!text) return cli::report_error(streams, text.error());
  const auto path = parsed.text("out");
  if (!path || *path == "-") {
    streams.out << *text;
    return 0;
  }
  if (std::filesystem::exists(*path)) {
    return cli::report_error(streams,
                             {Fault::cannot_create, *path + ": is there already; name a new file"});
  }
  std::ofstream file(*path, std::ios::binary);
  file << *text;
  file.close();
  if (!file)
    return cli::report_error(streams, {Fault::cannot_create, *path + ": cannot be written"});
  return 0;
}

cli::ArgumentSpec run_argument() {
  return {"RUN", "its number, its id, or the end of its id (four characters or more)"};
}

}  // namespace

cli::CommandSpec runs_command() {
  cli::CommandSpec command;
  command.name = "runs";
  command.summary = "list the finished runs";
  command.description = {
      "Lists the runs of the bench's store with their corrected rise; or, with --from, those of a "
      "course's database, whose numbers are the database's own."};
  command.options = book_and_choice_options();
  command.options.push_back({.name = "json", .help = "one run record a line (NDJSON)"});
  command.examples = {{"nestcup runs --bench bench.toml", "the runs of this bench"},
                      {"nestcup runs --from postgres://teacher@db.school.example/course --last 20",
                       "the last of all benches"}};
  command.exit_notes = {{65, "the store is not readable as one"}, {66, "no such store"}};
  command.run = list_runs;
  return command;
}

cli::CommandSpec show_command() {
  cli::CommandSpec command;
  command.name = "show";
  command.summary = "print one run's record";
  command.description = {
      "Prints the record of a run: periods, temperatures, the corrected rise with "
      "its uncertainty budget, findings, and what was done to it since."};
  command.options = book_options();
  command.options.push_back(json_option());
  command.options.push_back({.name = "chart",
                             .value_name = "FILE",
                             .help = "also draw the run into a new .svg or .png file",
                             .complete = {cli::Hint::file}});
  command.options.push_back({.name = "revision",
                             .value_name = "N",
                             .help = "the record as it was then; without it the newest"});
  command.arguments = {run_argument()};
  command.examples = {{"nestcup show 3 --chart run3.svg", "run 3, with a picture"},
                      {"nestcup show 3 --revision 1", "run 3 as it was first worked out"}};
  command.exit_notes = {{66, "no such run, revision or store"}, {73, "the chart cannot be made"}};
  command.run = show_run;
  return command;
}

cli::CommandSpec export_command() {
  cli::CommandSpec command;
  command.name = "export";
  command.summary = "print a run's readings as a trace file";
  command.description = {
      "Prints the readings of a run as they came (CSV). Replaying them gives the "
      "same record again but for the id."};
  command.options = book_options();
  command.options.push_back({.name = "out",
                             .value_name = "FILE",
                             .help = "write into a new file instead of standard output",
                             .complete = {cli::Hint::file}});
  command.arguments = {run_argument()};
  command.examples = {{"nestcup export 3 --out run3.csv", "run 3 as a file"}};
  command.exit_notes = {{66, "no such run or store"}, {73, "the file cannot be made"}};
  command.run = export_run;
  return command;
}

}  // namespace nestcup

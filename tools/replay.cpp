// nestcup replay: a trace through the same path as the daemon's readings.
#include "core/record/replay.hpp"

#include <fmt/format.h>

#include <chrono>

#include "core/base/run_id.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/trial_choice.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/record_text.hpp"

namespace nestcup {
namespace {

TimeUs unix_now_us() {
  const auto now = std::chrono::system_clock::now().time_since_epoch();
  return std::chrono::duration_cast<std::chrono::microseconds>(now).count();
}

/// Sheet and trial as the options name them.
Result<void> take_sheet(const cli::Parsed& parsed, ReplayOptions& options) {
  const auto path = parsed.text("sheet"), name = parsed.text("trial");
  if (!path) {
    if (name) return Error{Fault::usage, "--trial needs the sheet that holds it: --sheet FILE"};
    return {};
  }
  auto sheet = read_sheet(*path);
  if (!sheet) return sheet.error();
  options.sheet = std::move(sheet).value();
  for (const SheetTrial& trial : options.sheet->trials) options.heater |= trial.heater.has_value();
  if (!name) return {};
  const auto trial = trial_named(*options.sheet, *name);
  if (!trial) return trial.error();
  options.heater = options.sheet->trials[*trial].heater.has_value();
  options.trial = *name;
  return {};
}

Result<ReplayOptions> options_of(const cli::Parsed& parsed) {
  ReplayOptions options;
  const auto mark = parsed.number("mark");
  if (!mark) return mark.error();
  options.mark_s = *mark;
  const auto after = parsed.number("after-period");
  if (!after) return after.error();
  options.after_period_s = after->value_or(180.0);
  if (options.after_period_s < 20.0 || options.after_period_s > 3600.0) {
    return Error{Fault::usage, "option --after-period: 20 to 3600 seconds are possible"};
  }
  if (auto sheet = take_sheet(parsed, options); !sheet) return sheet.error();
  return options;
}

/// What set in and was taken for no mixing, and what a person can do who knows better.
std::string why_none(const Trace& trace, const ReplayOptions& options) {
  const std::string reason = last_withdrawal(trace, options);
  if (reason.empty()) return "";
  const char* hint = options.mark_s ? "" : " (--mark SECONDS says when you poured)";
  return fmt::format("; what set in last was none: {}{}", reason, hint);
}

int run_replay(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto options = options_of(parsed);
  if (!options) return cli::report_error(streams, options.error());
  for (const std::string& path : parsed.texts("TRACE")) {
    const auto trace = read_trace(path);
    if (!trace) return cli::report_error(streams, trace.error());
    const auto runs = replay_trace(*trace, *options, [] { return new_run_id(unix_now_us()); });
    for (const ReplayedRun& replayed : runs) {
      const Json& record = replayed.made.record;
      streams.out << (parsed.flag("json") ? record.dump() + "\n" : record_text(record));
    }
    if (runs.empty()) {
      streams.err << fmt::format("{}: {}: no mixing{}\n", streams.program, path,
                                 why_none(*trace, *options));
    }
  }
  return 0;
}

}  // namespace

cli::CommandSpec replay_command() {
  cli::CommandSpec command;
  command.name = "replay";
  command.summary = "find the mixings in traces and print a run record for each";
  command.description = {
      "Feeds each trace (CSV with the columns time_s, cup_degC and, where there are, added_degC "
      "and "
      "room_degC) through the same path as the daemon's readings, as fast as it can, and prints "
      "one record for each mixing, in order. \"-\" is standard input. A trace without a mixing "
      "gives no record and is no error.",
      "An export of a run carries in a comment what its columns cannot, its sheet among it, so "
      "that "
      "its replay gives the same record again but for the id. With --sheet (and --trial) the "
      "amounts of that sheet are taken instead, and the record has the rise over the mean of the "
      "two contents where both and their temperatures are known."};
  command.options = {{.name = "sheet",
                      .value_name = "FILE",
                      .help = "the sheet that the traces belong to",
                      .complete = {cli::Hint::file}},
                     {.name = "trial", .value_name = "NAME", .help = "the trial of the sheet"},
                     {.name = "mark",
                      .value_name = "SECONDS",
                      .help = "when the pour began, on the trace's own time"},
                     {.name = "after-period",
                      .value_name = "SECONDS",
                      .help = "wanted length of the after period",
                      .default_text = "180"},
                     {.name = "json", .help = "one run record a line (NDJSON) and nothing else"}};
  command.arguments = {
      {"TRACE", "trace files, or - for standard input", 1, cli::any_number, {cli::Hint::file}}};
  command.examples = {
      {"nestcup replay monday.csv", "what is in this trace?"},
      {"nestcup replay --json run3.csv", "the records of an exported run, for scripts"}};
  command.exit_notes = {{65, "a trace or sheet is not as it should be: file, line, expectation"},
                        {66, "no such file"}};
  command.run = run_replay;
  return command;
}

}  // namespace nestcup

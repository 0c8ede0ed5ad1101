// nestcup sheet: is a sheet in order, and what does it say?
#include <fmt/format.h>

#include "core/base/exit_code.hpp"
#include "core/sheet/sheet_file.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/sheet/sheet_page.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

int run(const cli::Parsed& parsed, cli::Streams& streams) {
  const std::string what = *parsed.text("ACTION"), path = *parsed.text("FILE");
  if (what != "check" && what != "show") {
    return cli::report_error(
        streams,
        {Fault::usage, fmt::format("argument ACTION: \"{}\" is neither check nor show", what)});
  }
  if (what == "check" && parsed.flag("json")) {
    return cli::report_error(streams, {Fault::usage, "option --json belongs to show"});
  }
  const SheetCheck found = check_sheet(path);
  for (const Error& problem : found.problems) cli::report_error(streams, problem);
  if (!found.sheet) return exit_code(found.problems.front().kind);
  if (what == "check") {
    streams.out << fmt::format("{}: in order: {}\n", path, sheet_counts(*found.sheet));
  } else if (parsed.flag("json")) {
    // A file's name may be no UTF-8.
    streams.out << sheet_json(*found.sheet).dump(-1, ' ', false, Json::error_handler_t::replace)
                << '\n';
  } else {
    streams.out << sheet_page(*found.sheet, streams.colour);
  }
  return exit_done;
}

}  // namespace

cli::CommandSpec sheet_command() {
  cli::CommandSpec command;
  command.name = "sheet";
  command.summary = "check a sheet, or show what it says";
  command.description = {
      "A sheet (TOML) says what a day at the bench is about: the calorimeter, what is measured "
      "with, the stock solutions, the trials with their equations and amounts, and the cycle that "
      "they are to close.",
      "\"check\" names everything that is wrong with it at once, each with file, line and key and "
      "what was expected: misspelt keys, missing units, equations that do not balance, reactants "
      "that nothing supplies, impossible amounts. \"show\" prints the sheet as it was understood, "
      "with the amount of what runs out first where the sheet alone tells it."};
  command.options = {{.name = "json", .help = "with show: one JSON object and nothing else"}};
  command.arguments = {{"ACTION", "check or show", 1, 1, {cli::Hint::words, {"check", "show"}}},
                       {"FILE", "the sheet", 1, 1, {cli::Hint::file}}};
  command.examples = {{"nestcup sheet check sheet.toml", "is it in order?"},
                      {"nestcup sheet show sheet.toml", "what was understood?"},
                      {"nestcup sheet show sheet.toml --json", "the same for scripts"}};
  command.exit_notes = {{65, "something is wrong with the sheet; every problem is printed"},
                        {66, "no such file"}};
  command.run = run;
  return command;
}

}  // namespace nestcup

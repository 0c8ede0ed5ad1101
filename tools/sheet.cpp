// nestcup sheet: is a sheet in order, and what does it say?
#include <fmt/format.h>

#include "core/base/exit_code.hpp"
#include "core/chemistry/closure.hpp"
#include "core/sheet/sheet_file.hpp"
#include "core/sheet/toml_section.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/client/client.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"
#include "tools/sheet/sheet_page.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

/// A sheet as the file has it, or as a store keeps it.
struct SheetText {
  std::string name;  ///< for messages
  std::string text;
};

Result<SheetText> kept_text(const cli::Parsed& parsed, const std::string& sha256) {
  if (parsed.text("FILE")) {
    return Error{Fault::usage, "option --sha256 and a FILE: give one of them"};
  }
  const auto book = chosen_book(parsed);
  if (!book) return book.error();
  auto kept = (*book)->find_sheet(sha256);
  if (!kept) return kept.error();
  return SheetText{fmt::format("sheet {}", kept->sha256.substr(0, 12)), kept->text};
}

Result<SheetText> text_asked_for(const cli::Parsed& parsed) {
  if (const auto sha256 = parsed.text("sha256")) return kept_text(parsed, *sha256);
  const auto path = parsed.text("FILE");
  if (!path) return Error{Fault::usage, "argument FILE is missing; or --sha256 for a kept sheet"};
  if (names_book(parsed)) {
    return Error{Fault::usage, "options --bench, --store and --from belong to --sha256"};
  }
  auto text = file_bytes(*path);
  if (!text) return text.error();
  return SheetText{*path, std::move(text).value()};
}

Result<void> check_call(const cli::Parsed& parsed, const std::string& what) {
  if (what != "check" && what != "show" && what != "reload") {
    return Error{Fault::usage,
                 fmt::format("argument ACTION: \"{}\" is none of check, show and reload", what)};
  }
  if (what == "reload" && parsed.text("FILE")) {
    return Error{Fault::usage, "argument FILE: reload takes the bench's sheet, and no FILE"};
  }
  if (what == "show") return {};
  for (const char* option : {"json", "text"}) {
    if (parsed.flag(option)) {
      return Error{Fault::usage, fmt::format("option --{} belongs to show", option)};
    }
  }
  return {};
}

int print(const cli::Parsed& parsed, const SheetText& from, cli::Streams& streams) {
  if (parsed.flag("text")) {
    streams.out << from.text;
    return exit_done;
  }
  const SheetCheck found = check_sheet_text(from.text, from.name);
  for (const Error& problem : found.problems) cli::report_error(streams, problem);
  if (!found.sheet) return exit_code(found.problems.front().kind);
  if (*parsed.text("ACTION") == "check") {
    if (const auto open = cycle_problem(*found.sheet)) return cli::report_error(streams, *open);
    streams.out << fmt::format("{}: in order: {}\n", from.name, sheet_counts(*found.sheet));
  } else if (parsed.flag("json")) {
    // A file's name may be no UTF-8.
    streams.out << sheet_json(*found.sheet).dump(-1, ' ', false, Json::error_handler_t::replace)
                << '\n';
  } else {
    streams.out << sheet_page(*found.sheet, streams.colour);
  }
  return exit_done;
}

/// The daemon takes the sheet's file up as it is now.
int reload(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto bench = chosen_bench(parsed);
  if (!bench) return cli::report_error(streams, bench.error());
  const auto answer = call(bench->control, "POST", "/v1/sheet/reload", nlohmann::json::object());
  if (!answer) return cli::report_error(streams, answer.error());
  streams.out << fmt::format("{}: {}\n", bench->sheet,
                             answer->at("changed").get<bool>()
                                 ? "taken up; the daemon goes by it from now on"
                                 : "is as the daemon has it already");
  return exit_done;
}

int run_sheet(const cli::Parsed& parsed, cli::Streams& streams) {
  if (auto sound = check_call(parsed, *parsed.text("ACTION")); !sound) {
    return cli::report_error(streams, sound.error());
  }
  if (*parsed.text("ACTION") == "reload") return reload(parsed, streams);
  const auto text = text_asked_for(parsed);
  if (!text) return cli::report_error(streams, text.error());
  return print(parsed, *text, streams);
}

}  // namespace

cli::CommandSpec sheet_command() {
  cli::CommandSpec command;
  command.name = "sheet";
  command.summary = "check a sheet, show what it says, or let the daemon take it up anew";
  command.description = {
      "A sheet (TOML) says what a day at the bench is about: the calorimeter, what is measured "
      "with, the stock solutions, the trials with their equations and amounts, and the cycle that "
      "they are to close.",
      "\"check\" names everything that is wrong with it at once, each with file, line and key and "
      "what was expected: misspelt keys, missing units, equations that do not balance, reactants "
      "that nothing supplies, impossible amounts, a cycle that cannot close. \"show\" prints the "
      "sheet as it was understood, "
      "with the amount of what runs out first where the sheet alone tells it.",
      "A store keeps each sheet that a run's record names by its digest (sha256), as it was then: "
      "\"show --sha256 PREFIX\" prints it, with --text byte for byte.",
      "\"reload\" lets the daemon take up the bench's sheet as the file is now, without a restart; "
      "one that is wrong is refused, and the daemon goes on with the one that it has."};
  command.options = book_options();
  command.options.push_back(
      {.name = "sha256",
       .value_name = "PREFIX",
       .help = "a sheet that the store keeps, by the beginning of its digest"});
  command.options.push_back({.name = "text", .help = "with show: the file's own text"});
  command.options.push_back(
      {.name = "json", .help = "with show: one JSON object and nothing else"});
  command.arguments = {
      {"ACTION", "check, show or reload", 1, 1, {cli::Hint::words, {"check", "show", "reload"}}},
      {"FILE", "the sheet", 0, 1, {cli::Hint::file}}};
  command.examples = {
      {"nestcup sheet check sheet.toml", "is it in order?"},
      {"nestcup sheet show sheet.toml", "what was understood?"},
      {"nestcup sheet show sheet.toml --json", "the same for scripts"},
      {"nestcup sheet show --sha256 1f3a --text", "a sheet that was changed since"},
      {"nestcup sheet reload --bench bench.toml", "the file was changed; use it from now on"}};
  command.exit_notes = {{65, "something is wrong with the sheet; every problem is printed"},
                        {66, "no such file, store or kept sheet"},
                        {69, "reload: no daemon answers"}};
  command.run = run_sheet;
  return command;
}

}  // namespace nestcup

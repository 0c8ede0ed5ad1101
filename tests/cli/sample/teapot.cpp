#include "tests/cli/sample/teapot.hpp"

#include <ostream>

#include "core/base/exit_code.hpp"
#include "core/base/numbers.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup::cli {

namespace {

int brew(const Parsed& parsed, Streams& streams) {
  const auto minutes = parsed.number("minutes");
  if (!minutes) return report_error(streams, minutes.error());
  const auto degC = parsed.number("degrees");
  if (!degC) return report_error(streams, degC.error());
  streams.out << "kind " << parsed.text("kind").value_or("-") << '\n';
  streams.out << "minutes " << (*minutes ? number_text(**minutes) : "-") << '\n';
  streams.out << "degrees " << (*degC ? number_text(**degC) : "-") << '\n';
  streams.out << "strong " << (parsed.flag("strong") ? "yes" : "no") << '\n';
  for (const std::string& herb : parsed.texts("herb")) streams.out << "herb " << herb << '\n';
  for (const std::string& cup : parsed.texts("CUP")) streams.out << "cup " << cup << '\n';
  return exit_done;
}

int pour(const Parsed&, Streams& streams) {
  for (int i = 0; i < 200'000; ++i) streams.out << "a drop\n";
  return exit_done;
}

int drop(const Parsed&, Streams& streams) {
  return report_error(streams, {Fault::not_permitted, "the pot is hot; take a cloth"});
}

CommandSpec brew_command() {
  return {.name = "brew",
          .summary = "brew tea into cups",
          .description = {"Takes water just off the boil. 'Strong' tea isn't stirred; see C:\\tea "
                          "or ~/tea for `more`.",
                          ".A second paragraph starts with a dot."},
          .options = {{.name = "kind",
                       .short_letter = 'k',
                       .value_name = "KIND",
                       .help = "the leaf: [green] or 'black', say",
                       .default_text = "black",
                       .complete = {Hint::words, {"black", "green", "white"}}},
                      {.name = "minutes", .value_name = "MINUTES", .help = "how long it draws"},
                      {.name = "degrees", .value_name = "DEGREES", .help = "water, in degC"},
                      {.name = "strong", .short_letter = 's', .help = "twice the leaves"},
                      {.name = "herb",
                       .value_name = "NAME",
                       .help = "a herb beside the leaves",
                       .repeatable = true},
                      {.name = "recipe",
                       .short_letter = 'r',
                       .value_name = "FILE",
                       .help = "reads the recipe from FILE",
                       .complete = {Hint::file, {}}}},
          .arguments = {{"CUP", "where the tea goes", 1, any_number, {Hint::file, {}}}},
          .examples = {{"teapot brew --kind green small-cup large-cup", "Two cups of green tea."},
                       {"teapot brew - < cups.txt | sort", "Cups from standard input."}},
          .exit_notes = {{65, "a cup leaks"}},
          .run = brew};
}

}  // namespace

ProgramSpec teapot_program() {
  return {.name = "teapot",
          .version = "1.2.3",
          .summary = "make tea",
          .description = {"A program for the tests of the command line."},
          .commands = {brew_command(),
                       {.name = "pour", .summary = "pour a great many drops", .run = pour},
                       {.name = "drop", .summary = "drop the pot", .run = drop}}};
}

ProgramSpec kettle_program() {
  CommandSpec boil{.name = "kettle",
                   .summary = "boil water",
                   .options = {{.name = "water",
                                .value_name = "FILE",
                                .help = "where the water is",
                                .complete = {Hint::file, {}},
                                .required = true}},
                   .arguments = {{"CUP", "a cup to fill", 0, 1, {}}},
                   .examples = {{"kettle --water spring.txt", "Boils it."}},
                   .run = [](const Parsed& parsed, Streams& streams) {
                     streams.out << "boils " << parsed.text("water").value_or("-") << '\n';
                     return exit_done;
                   }};
  return {.name = "kettle", .version = "0.9.0", .summary = "boil water", .single = boil};
}

}  // namespace nestcup::cli

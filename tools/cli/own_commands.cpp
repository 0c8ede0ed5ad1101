#include "tools/cli/own_commands.hpp"

#include <fmt/format.h>

#include <ostream>

#include "core/base/exit_code.hpp"
#include "core/base/nearest.hpp"
#include "tools/cli/completion.hpp"
#include "tools/cli/help_text.hpp"
#include "tools/cli/man_page.hpp"
#include "tools/cli/output.hpp"

namespace nestcup::cli {

namespace {

std::vector<std::string> names_of(const ProgramSpec& program) {
  std::vector<std::string> names;
  for (const CommandSpec& command : shown_commands(program)) names.push_back(command.name);
  return names;
}

/// Prints `write(command)` for the command named COMMAND, or `whole` where none is named.
template <class Write>
int print_about(const ProgramSpec& program, const Parsed& parsed, Streams& streams,
                const std::string& whole, const Write& write) {
  const auto name = parsed.text("COMMAND");
  if (!name) {
    streams.out << whole;
    return exit_done;
  }
  for (const CommandSpec& command : shown_commands(program)) {
    if (command.name != *name) continue;
    streams.out << write(command);
    return exit_done;
  }
  return report_error(streams, unknown_command(program, *name));
}

int run_help(const ProgramSpec& program, const Parsed& parsed, Streams& streams) {
  return print_about(program, parsed, streams, overview_text(program),
                     [&](const CommandSpec& command) { return command_help(program, command); });
}

int run_man(const ProgramSpec& program, const Parsed& parsed, Streams& streams) {
  if (parsed.flag("list")) {
    for (const std::string& page : page_names(program)) streams.out << page << '\n';
    return exit_done;
  }
  return print_about(program, parsed, streams, program_page(program),
                     [&](const CommandSpec& command) { return command_page(program, command); });
}

int print_completion(const ProgramSpec& program, const std::string& shell, Streams& streams) {
  const auto script = completion_script(program, shell);
  if (!script) {
    return report_error(streams, {Fault::usage, fmt::format("no completion for '{}'; there is one "
                                                            "for bash, zsh and fish",
                                                            shell)});
  }
  streams.out << *script;
  return exit_done;
}

ArgumentSpec command_argument(const ProgramSpec& program) {
  return {"COMMAND", "the command to tell about", 0, 1, {Hint::words, names_of(program)}};
}

CommandSpec help_command(const ProgramSpec& program) {
  return {.name = "help",
          .summary = "show help on a command",
          .description = {"Without COMMAND, lists all commands."},
          .arguments = {command_argument(program)},
          .run = [&program](const Parsed& parsed, Streams& streams) {
            return run_help(with_own_commands(program), parsed, streams);
          }};
}

CommandSpec man_command(const ProgramSpec& program) {
  return {.name = "man",
          .summary = "print a manual page in troff",
          .options = {{.name = "list", .help = "list the names of all pages"}},
          .arguments = {command_argument(program)},
          .run =
              [&program](const Parsed& parsed, Streams& streams) {
                return run_man(with_own_commands(program), parsed, streams);
              },
          .hidden = true};
}

CommandSpec completion_command(const ProgramSpec& program) {
  return {.name = "completion",
          .summary = "print a completion script",
          .arguments = {{"SHELL", "bash, zsh or fish", 1, 1, {Hint::words, completion_shells()}}},
          .run =
              [&program](const Parsed& parsed, Streams& streams) {
                const ProgramSpec full = with_own_commands(program);
                return print_completion(full, parsed.text("SHELL").value_or(""), streams);
              },
          .hidden = true};
}

}  // namespace

ProgramSpec with_own_commands(const ProgramSpec& program) {
  ProgramSpec full = program;
  full.commands.push_back(help_command(program));
  full.commands.push_back(man_command(program));
  full.commands.push_back(completion_command(program));
  return full;
}

void add_own_options(const ProgramSpec& program, CommandSpec& command) {
  const std::vector<OptionSpec> own = program_options();
  command.options.push_back(own.front());
  if (!program.single) return;
  command.options.push_back(own.back());
  command.options.push_back({.name = "man",
                             .help = "print the manual page in troff",
                             .hidden = true,
                             .stands_alone = true});
  command.options.push_back({.name = "completion",
                             .value_name = "SHELL",
                             .help = "print a completion script",
                             .complete = {Hint::words, completion_shells()},
                             .hidden = true,
                             .stands_alone = true});
}

std::optional<int> answer_own_options(const ProgramSpec& program, const CommandSpec& command,
                                      const Parsed& parsed, Streams& streams) {
  if (parsed.flag("help")) {
    streams.out << command_help(program, command);
    return exit_done;
  }
  if (!program.single) return std::nullopt;
  if (parsed.flag("version")) {
    streams.out << version_line(program);
    return exit_done;
  }
  if (parsed.flag("man")) {
    streams.out << program_page(program);
    return exit_done;
  }
  if (const auto shell = parsed.text("completion")) {
    return print_completion(program, *shell, streams);
  }
  return std::nullopt;
}

Error unknown_command(const ProgramSpec& program, const std::string& word) {
  const auto near = nearest(word, names_of(program));
  return {Fault::usage, near ? fmt::format("unknown command '{}'; did you mean '{}'?", word, *near)
                             : fmt::format("unknown command '{}'", word)};
}

std::string version_line(const ProgramSpec& program) {
  return program.name + ' ' + program.version + '\n';
}

}  // namespace nestcup::cli

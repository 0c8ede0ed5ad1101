// The script for fish (3.0 or later): one complete line an option.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "tools/cli/completion.hpp"

namespace nestcup::cli {

namespace {

std::string quoted(std::string_view text) {
  std::string safe = "'";
  for (const char c : text) {
    if (c == '\'' || c == '\\') safe += '\\';
    safe += c;
  }
  return safe + '\'';
}

/// What a value may be. -x: a value and no files, -r: a value, -F: files although the program
/// takes none in general.
std::string value_flags(const Completion& complete) {
  switch (complete.hint) {
    case Hint::file:
      return " -r -F";
    case Hint::directory:
      return " -x -a '(__fish_complete_directories)'";
    case Hint::words:
      return " -x -a " + quoted(fmt::format("{}", fmt::join(complete.words, " ")));
    case Hint::none:
      break;
  }
  return " -x";
}

std::string argument_flags(const Completion& complete) {
  switch (complete.hint) {
    case Hint::file:
      return " -F";
    case Hint::directory:
      return " -a '(__fish_complete_directories)'";
    case Hint::words:
      return " -a " + quoted(fmt::format("{}", fmt::join(complete.words, " ")));
    case Hint::none:
      break;
  }
  return "";
}

/// All lines of one command, under a condition ("-n ..." with a blank before it, or nothing).
std::string command_lines(const ProgramSpec& program, const CommandSpec& command,
                          const std::string& condition) {
  const std::string start = "complete -c " + program.name + condition;
  std::string lines;
  for (const OptionSpec& option : shown_options(program, command)) {
    lines += start;
    if (option.short_letter != '\0') lines += fmt::format(" -s {}", option.short_letter);
    lines += " -l " + option.name;
    if (!option.is_switch()) lines += value_flags(option.complete);
    lines += " -d " + quoted(option.help) + '\n';
  }
  for (const ArgumentSpec& argument : command.arguments) {
    const std::string flags = argument_flags(argument.complete);
    if (!flags.empty()) lines += start + flags + '\n';
  }
  return lines;
}

}  // namespace

std::string fish_script(const ProgramSpec& program) {
  std::string text =
      fmt::format("# Completion of {0} for fish.\ncomplete -c {0} -f\n", program.name);
  if (program.single) return text + command_lines(program, *program.single, "");
  for (const OptionSpec& option : program_options()) {
    text += fmt::format("complete -c {} -n __fish_use_subcommand -l {} -d {}\n", program.name,
                        option.name, quoted(option.help));
  }
  for (const CommandSpec& command : shown_commands(program)) {
    text += fmt::format("complete -c {} -n __fish_use_subcommand -a {} -d {}\n", program.name,
                        command.name, quoted(command.summary));
  }
  for (const CommandSpec& command : shown_commands(program)) {
    text += command_lines(program, command,
                          fmt::format(" -n '__fish_seen_subcommand_from {}'", command.name));
  }
  return text;
}

}  // namespace nestcup::cli

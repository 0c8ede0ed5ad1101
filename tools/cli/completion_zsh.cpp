// The script for zsh: one _arguments call a command.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "tools/cli/completion.hpp"

namespace nestcup::cli {

namespace {

/// {0}: program, {1}: function, {2}: options of the program, {3}: commands, {4}: their cases.
constexpr const char* zsh_frame = R"(#compdef {0}
# Completion of {0} for zsh.

{1}() {{
  local curcontext="$curcontext" state line
  local -a commands
  typeset -A opt_args
  _arguments -C \
{2}    '1:command:->command' \
    '*::argument:->argument'
  case "$state" in
    command)
      commands=(
{3}      )
      _describe command commands ;;
    argument)
      case "$line[1]" in
{4}      esac ;;
  esac
}}

{1} "$@"
)";

constexpr const char* single_zsh_frame = R"(#compdef {0}
# Completion of {0} for zsh.

{1}() {{
{2}}}

{1} "$@"
)";

/// `text` within single quotes, with a backslash before each of `special`.
std::string quoted_part(std::string_view text, std::string_view special) {
  std::string safe;
  for (const char c : text) {
    if (c == '\'') {
      safe += "'\\''";
      continue;
    }
    if (special.find(c) != std::string_view::npos) safe += '\\';
    safe += c;
  }
  return safe;
}

std::string action(const Completion& complete) {
  switch (complete.hint) {
    case Hint::file:
      return "_files";
    case Hint::directory:
      return "_files -/";
    case Hint::words:
      return fmt::format("({})", fmt::join(complete.words, " "));
    case Hint::none:
      break;
  }
  return " ";
}

std::string option_line(const OptionSpec& option, const std::string& indent) {
  const std::string help = quoted_part(option.help, "[]\\");
  const std::string value =
      option.is_switch() ? "" : fmt::format(":{}:{}", option.value_name, action(option.complete));
  const std::string repeat = option.repeatable ? "*" : "";
  if (option.short_letter == '\0') {
    return fmt::format("{}'{}--{}[{}]{}' \\\n", indent, repeat, option.name, help, value);
  }
  const std::string exclusive =
      option.repeatable ? "" : fmt::format("(-{} --{})", option.short_letter, option.name);
  return fmt::format("{}'{}{}'{{-{},--{}}}'[{}]{}' \\\n", indent, exclusive, repeat,
                     option.short_letter, option.name, help, value);
}

std::string argument_line(const ArgumentSpec& argument, const std::string& indent) {
  const std::string place = argument.max > 1 ? "*" : argument.min == 0 ? ":" : "";
  return fmt::format("{}'{}:{}:{}' \\\n", indent, place, argument.name, action(argument.complete));
}

std::string arguments_call(const ProgramSpec& program, const CommandSpec& command,
                           const std::string& indent) {
  const std::string deeper = indent + "  ";
  std::string call = indent + "_arguments \\\n";
  for (const OptionSpec& option : shown_options(program, command)) {
    call += option_line(option, deeper);
  }
  for (const ArgumentSpec& argument : command.arguments) call += argument_line(argument, deeper);
  call.erase(call.size() - 3);  // no backslash behind the last line
  return call;
}

}  // namespace

std::string zsh_script(const ProgramSpec& program) {
  std::string function = "_" + program.name;
  std::replace(function.begin(), function.end(), '-', '_');
  if (program.single) {
    return fmt::format(single_zsh_frame, program.name, function,
                       arguments_call(program, *program.single, "  ") + "\n");
  }
  std::string options;
  for (const OptionSpec& option : program_options()) options += option_line(option, "    ");
  std::string commands;
  std::string cases;
  for (const CommandSpec& command : shown_commands(program)) {
    commands += fmt::format("        '{}:{}'\n", command.name, quoted_part(command.summary, ":\\"));
    cases += fmt::format("        {})\n{} ;;\n", command.name,
                         arguments_call(program, command, "          "));
  }
  return fmt::format(zsh_frame, program.name, function, options, commands, cases);
}

}  // namespace nestcup::cli

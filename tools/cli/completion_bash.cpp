// The script for bash needs nothing but bash itself (4 or later).
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "tools/cli/completion.hpp"

namespace nestcup::cli {

namespace {

/// The script's frame. {0}: program, {1}: function, {2}: names of commands as a pattern,
/// {3}: cases of the commands.
constexpr const char* bash_frame = R"(# Completion of {0} for bash.

{1}_files() {{
  compopt -o filenames 2>/dev/null
  mapfile -t COMPREPLY < <(compgen "$1" -- "$2")
}}

{1}_words() {{
  mapfile -t COMPREPLY < <(compgen -W "$1" -- "$2")
}}

{1}() {{
  local current="${{COMP_WORDS[COMP_CWORD]}}" previous="${{COMP_WORDS[COMP_CWORD-1]}}"
  local command="" i
  COMPREPLY=()
  # "--option=value" comes as three words.
  if [[ "$current" == "=" ]]; then
    current=""
  elif [[ "$previous" == "=" ]]; then
    previous="${{COMP_WORDS[COMP_CWORD-2]}}"
  fi
  for ((i = 1; i < COMP_CWORD; i++)); do
    case "${{COMP_WORDS[i]}}" in
      {2}) command="${{COMP_WORDS[i]}}"; break ;;
    esac
  done
  case "$command" in
{3}  esac
}}

complete -F {1} {0}
)";

/// The call that offers what a hint asks for, with the word so far in "$current".
std::string offer(const std::string& function, const Completion& complete) {
  switch (complete.hint) {
    case Hint::file:
      return fmt::format("{}_files -f \"$current\"", function);
    case Hint::directory:
      return fmt::format("{}_files -d \"$current\"", function);
    case Hint::words:
      return fmt::format("{}_words '{}' \"$current\"", function, fmt::join(complete.words, " "));
    case Hint::none:
      break;
  }
  return ":";
}

std::string option_words(const std::vector<OptionSpec>& options) {
  std::vector<std::string> words;
  for (const OptionSpec& option : options) words.push_back("--" + option.name);
  return fmt::format("{}", fmt::join(words, " "));
}

/// Cases for the word behind an option that takes a value.
std::string value_cases(const std::string& function, const std::vector<OptionSpec>& options) {
  std::string cases;
  for (const OptionSpec& option : options) {
    if (option.is_switch()) continue;
    const std::string letter =
        option.short_letter == '\0' ? "" : fmt::format("-{}|", option.short_letter);
    cases += fmt::format("        {}--{}) {}; return ;;\n", letter, option.name,
                         offer(function, option.complete));
  }
  return cases.empty() ? "" : "      case \"$previous\" in\n" + cases + "      esac\n";
}

/// What the arguments offer together: the words of all, else files, else directories.
Completion argument_hint(const CommandSpec& command) {
  Completion all;
  for (const ArgumentSpec& argument : command.arguments) {
    const Completion& one = argument.complete;
    if (one.hint == Hint::none) continue;
    if (one.hint == Hint::words || all.hint == Hint::none) all.hint = one.hint;
    all.words.insert(all.words.end(), one.words.begin(), one.words.end());
  }
  return all;
}

std::string command_case(const ProgramSpec& program, const CommandSpec& command,
                         const std::string& function, const std::string& pattern) {
  const std::vector<OptionSpec> options = shown_options(program, command);
  return fmt::format(
      "    {})\n{}      if [[ \"$current\" == -* ]]; then\n        {}_words '{}' \"$current\"\n"
      "      else\n        {}\n      fi ;;\n",
      pattern, value_cases(function, options), function, option_words(options),
      offer(function, argument_hint(command)));
}

}  // namespace

std::string bash_script(const ProgramSpec& program) {
  std::string function = "_" + program.name;
  std::replace(function.begin(), function.end(), '-', '_');
  if (program.single) {
    // No word is a command: the pattern matches nothing and the one case takes all.
    return fmt::format(bash_frame, program.name, function, "''",
                       command_case(program, *program.single, function, "*"));
  }
  std::vector<std::string> names;
  std::string cases;
  for (const CommandSpec& command : shown_commands(program)) {
    names.push_back(command.name);
    cases += command_case(program, command, function, command.name);
  }
  const std::string first = fmt::format("    '') {}_words '{} {}' \"$current\" ;;\n", function,
                                        fmt::join(names, " "), option_words(program_options()));
  return fmt::format(bash_frame, program.name, function, fmt::join(names, "|"), first + cases);
}

}  // namespace nestcup::cli

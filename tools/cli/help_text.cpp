#include "tools/cli/help_text.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "tools/cli/text_layout.hpp"

namespace nestcup::cli {

namespace {

constexpr std::size_t term_column = 30;
constexpr std::size_t summary_column = 16;

std::string option_list(const std::vector<OptionSpec>& options) {
  std::string text = "\nOptions:\n";
  for (const OptionSpec& option : options) {
    text += hanging("  " + option_term(option), option_help(option), term_column);
  }
  return text;
}

std::string argument_list(const CommandSpec& command) {
  if (command.arguments.empty()) return "";
  std::string text = "\nArguments:\n";
  for (const ArgumentSpec& argument : command.arguments) {
    text += hanging("  " + argument.name, argument.help, term_column);
  }
  return text;
}

std::string example_list(const CommandSpec& command) {
  if (command.examples.empty()) return "";
  std::string text = "\nExamples:\n";
  for (const Example& example : command.examples) {
    text += "  " + example.command + '\n' + wrapped(example.explanation, 6);
  }
  return text;
}

std::string exit_list(const CommandSpec& command) {
  std::string text = "\nExit codes:\n";
  for (const ExitNote& note : all_exit_notes(command)) {
    text += hanging(fmt::format("  {}", note.code), note.meaning, 6);
  }
  return text;
}

std::string wrapped_paragraphs(const std::vector<std::string>& description) {
  std::string text;
  for (const std::string& paragraph : description) text += '\n' + wrapped(paragraph, 0);
  return text;
}

}  // namespace

std::string synopsis(const CommandSpec& command) {
  std::string text = "[OPTION...]";
  for (const OptionSpec& option : command.options) {
    if (option.required) text += fmt::format(" --{} {}", option.name, option.value_name);
  }
  for (const ArgumentSpec& argument : command.arguments) {
    const std::string row = argument.name + (argument.max > 1 ? "..." : "");
    text += argument.min == 0 ? fmt::format(" [{}]", row) : ' ' + row;
  }
  return text;
}

std::string option_term(const OptionSpec& option) {
  const std::string letter =
      option.short_letter == '\0' ? "    " : fmt::format("-{}, ", option.short_letter);
  const std::string value = option.is_switch() ? "" : ' ' + option.value_name;
  return letter + "--" + option.name + value;
}

std::string option_help(const OptionSpec& option) {
  std::string text = option.help;
  if (option.repeatable) text += " (may be given several times)";
  if (!option.default_text.empty()) text += fmt::format(" (default: {})", option.default_text);
  return text;
}

std::vector<ExitNote> all_exit_notes(const CommandSpec& command) {
  std::vector<ExitNote> notes = command.exit_notes;
  const auto add_missing = [&](int code, const char* meaning) {
    const bool is_there = std::any_of(notes.begin(), notes.end(),
                                      [&](const ExitNote& note) { return note.code == code; });
    if (!is_there) notes.push_back({code, meaning});
  };
  add_missing(0, "done");
  add_missing(64, "wrong usage");
  std::sort(notes.begin(), notes.end(),
            [](const ExitNote& a, const ExitNote& b) { return a.code < b.code; });
  return notes;
}

std::string overview_text(const ProgramSpec& program) {
  std::string text = fmt::format("{} - {}\n\nUsage: {} COMMAND [OPTION...] [ARGUMENT...]\n",
                                 program.name, program.summary, program.name);
  text += wrapped_paragraphs(program.description);
  text += "\nCommands:\n";
  for (const CommandSpec& command : shown_commands(program)) {
    text += hanging("  " + command.name, command.summary, summary_column);
  }
  text += option_list(program_options());
  text += fmt::format("\n'{} COMMAND --help' tells all about one command.\n", program.name);
  return text;
}

std::string command_help(const ProgramSpec& program, const CommandSpec& command) {
  const std::string name = full_name(program, command);
  std::string text = fmt::format("{} - {}\n\n", name, command.summary);
  const std::string usage = "Usage: ";
  text += usage + wrapped(name + ' ' + synopsis(command), usage.size()).substr(usage.size());
  text += wrapped_paragraphs(command.description);
  text += argument_list(command);
  text += option_list(shown_options(program, command));
  text += example_list(command);
  text += exit_list(command);
  return text;
}

}  // namespace nestcup::cli

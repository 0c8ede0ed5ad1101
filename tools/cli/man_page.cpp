#include "tools/cli/man_page.hpp"

#include <fmt/format.h>

#include "tools/cli/help_text.hpp"

namespace nestcup::cli {

namespace {

/// `text` so that troff prints it as it is, with ASCII quotes and minus signs.
std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : text) {
    switch (c) {
      case '\\':
        safe += "\\e";
        break;
      case '-':
        safe += "\\-";
        break;
      case '\'':
        safe += "\\(aq";
        break;
      case '`':
        safe += "\\(ga";
        break;
      case '^':
        safe += "\\(ha";
        break;
      case '~':
        safe += "\\(ti";
        break;
      default:
        safe += c;
    }
  }
  // A dot at the start of a line would be a request.
  return !safe.empty() && safe.front() == '.' ? "\\&" + safe : safe;
}

std::string bold(std::string_view text) {
  return "\\fB" + escaped(text) + "\\fR";
}

std::string slanted(std::string_view text) {
  return "\\fI" + escaped(text) + "\\fR";
}

std::string heading(const ProgramSpec& program, const std::string& page,
                    const std::string& summary) {
  return fmt::format(".TH {} 1 \"\" \"{} {}\" \"{} manual\"\n.SH NAME\n{} \\- {}\n", escaped(page),
                     program.name, program.version, program.name, escaped(page), escaped(summary));
}

std::string set_paragraphs(const std::vector<std::string>& description) {
  std::string text;
  for (const std::string& paragraph : description) {
    text += (text.empty() ? "" : ".PP\n") + escaped(paragraph) + '\n';
  }
  return text;
}

std::string description_section(const std::vector<std::string>& description) {
  return description.empty() ? "" : ".SH DESCRIPTION\n" + set_paragraphs(description);
}

std::string tagged(const std::string& term, const std::string& text) {
  return fmt::format(".TP\n{}\n{}\n", term, escaped(text));
}

std::string option_section(const std::vector<OptionSpec>& options) {
  std::string text = ".SH OPTIONS\n";
  for (const OptionSpec& option : options) {
    std::string term;
    if (option.short_letter != '\0') term = bold(fmt::format("-{}", option.short_letter)) + ", ";
    term += bold("--" + option.name);
    if (!option.is_switch()) term += ' ' + slanted(option.value_name);
    text += tagged(term, option_help(option));
  }
  return text;
}

std::string argument_section(const CommandSpec& command) {
  if (command.arguments.empty()) return "";
  std::string text = ".SH ARGUMENTS\n";
  for (const ArgumentSpec& argument : command.arguments) {
    text += tagged(slanted(argument.name), argument.help);
  }
  return text;
}

std::string exit_section(const CommandSpec& command) {
  std::string text = ".SH EXIT STATUS\n";
  for (const ExitNote& note : all_exit_notes(command)) {
    text += tagged(bold(std::to_string(note.code)), note.meaning);
  }
  return text;
}

std::string example_section(const CommandSpec& command) {
  if (command.examples.empty()) return "";
  std::string text = ".SH EXAMPLES\n";
  for (const Example& example : command.examples) {
    text += tagged(bold(example.command), example.explanation);
  }
  return text;
}

/// The sections that all about one command takes, after the name.
std::string command_sections(const ProgramSpec& program, const CommandSpec& command) {
  return ".SH SYNOPSIS\n" + bold(full_name(program, command)) + ' ' + escaped(synopsis(command)) +
         '\n' + description_section(command.description) + argument_section(command) +
         option_section(shown_options(program, command)) + exit_section(command) +
         example_section(command);
}

std::string page_reference(const std::string& page) {
  return bold(page) + "(1)";
}

}  // namespace

std::vector<std::string> page_names(const ProgramSpec& program) {
  std::vector<std::string> names{program.name};
  for (const CommandSpec& command : shown_commands(program)) {
    names.push_back(program.name + '-' + command.name);
  }
  return names;
}

std::string program_page(const ProgramSpec& program) {
  std::string text = heading(program, program.name, program.summary);
  if (program.single) return text + command_sections(program, *program.single);
  text += ".SH SYNOPSIS\n" + bold(program.name) + ' ' + slanted("COMMAND") + " [" +
          slanted("OPTION...") + "] [" + slanted("ARGUMENT...") + "]\n";
  text += description_section(program.description);
  text += ".SH COMMANDS\n";
  std::string references;
  for (const CommandSpec& command : shown_commands(program)) {
    text += tagged(bold(command.name), command.summary);
    references +=
        (references.empty() ? "" : ",\n") + page_reference(program.name + '-' + command.name);
  }
  text += option_section(program_options());
  text += ".SH ENVIRONMENT\n" + tagged(bold("NO_COLOR"), "where it is set, no output is coloured");
  return text + ".SH SEE ALSO\n" + references + '\n';
}

std::string command_page(const ProgramSpec& program, const CommandSpec& command) {
  return heading(program, program.name + '-' + command.name, command.summary) +
         command_sections(program, command) + ".SH SEE ALSO\n" + page_reference(program.name) +
         '\n';
}

}  // namespace nestcup::cli

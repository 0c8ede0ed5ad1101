#include "tools/cli/command.hpp"

#include <algorithm>

namespace nestcup::cli {

namespace {

OptionSpec help_option() {
  return {.name = "help", .short_letter = 'h', .help = "show this help", .stands_alone = true};
}

OptionSpec version_option() {
  return {.name = "version", .help = "show the version", .stands_alone = true};
}

}  // namespace

std::vector<OptionSpec> program_options() {
  return {help_option(), version_option()};
}

std::vector<OptionSpec> shown_options(const ProgramSpec& program, const CommandSpec& command) {
  std::vector<OptionSpec> shown;
  std::copy_if(command.options.begin(), command.options.end(), std::back_inserter(shown),
               [](const OptionSpec& option) { return !option.hidden; });
  shown.push_back(help_option());
  if (program.single) shown.push_back(version_option());
  return shown;
}

std::vector<CommandSpec> shown_commands(const ProgramSpec& program) {
  std::vector<CommandSpec> shown;
  std::copy_if(program.commands.begin(), program.commands.end(), std::back_inserter(shown),
               [](const CommandSpec& command) { return !command.hidden; });
  return shown;
}

std::string full_name(const ProgramSpec& program, const CommandSpec& command) {
  return program.single ? program.name : program.name + ' ' + command.name;
}

}  // namespace nestcup::cli

#include "tools/cli/program.hpp"

#include <algorithm>
#include <ostream>

#include "core/base/exit_code.hpp"
#include "tools/cli/help_text.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/own_commands.hpp"
#include "tools/cli/parse.hpp"

namespace nestcup::cli {

namespace {

/// One line that says what is wrong, one that says where help is.
int wrong_usage(Streams& streams, const Error& error, const std::string& help_call) {
  const int code = report_error(streams, error);
  streams.err << "see '" << help_call << "'\n";
  return code;
}

const CommandSpec* find_command(const ProgramSpec& program, const std::string& name) {
  const auto found = std::find_if(program.commands.begin(), program.commands.end(),
                                  [&](const CommandSpec& command) { return command.name == name; });
  return found == program.commands.end() ? nullptr : &*found;
}

/// Options before any command: --help and --version, else wrong usage.
int run_program_options(const ProgramSpec& program, std::span<const std::string> words,
                        Streams& streams) {
  const CommandSpec options{.name = program.name, .options = program_options()};
  const auto parsed = parse_words(options, words.first(1));
  if (!parsed) return wrong_usage(streams, parsed.error(), program.name + " --help");
  if (parsed->flag("version")) {
    streams.out << version_line(program);
  } else {
    streams.out << overview_text(program);
  }
  return exit_done;
}

int run_command(const ProgramSpec& program, CommandSpec command, std::span<const std::string> words,
                Streams& streams) {
  const std::string help_call = full_name(program, command) + " --help";
  const CommandSpec described = command;
  add_own_options(program, command);
  const auto parsed = parse_words(command, words);
  if (!parsed) return wrong_usage(streams, parsed.error(), help_call);
  if (const auto code = answer_own_options(program, described, *parsed, streams)) return *code;
  return command.run(*parsed, streams);
}

}  // namespace

int run_program(const ProgramSpec& program, std::span<const std::string> words, Streams& streams) {
  if (program.single) return run_command(program, *program.single, words, streams);
  const ProgramSpec full = with_own_commands(program);
  if (words.empty()) {
    streams.err << overview_text(full);
    return exit_code(Fault::usage);
  }
  if (words.front().starts_with('-')) return run_program_options(full, words, streams);
  const CommandSpec* const command = find_command(full, words.front());
  if (command == nullptr) {
    return wrong_usage(streams, unknown_command(full, words.front()), program.name + " --help");
  }
  return run_command(full, *command, words.subspan(1), streams);
}

}  // namespace nestcup::cli

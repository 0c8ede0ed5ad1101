// The one description of a program's commands. Parsing, --help, man pages and shell completion
// all come from it (parse.hpp, help_text.hpp, man_page.hpp, completion.hpp).
#pragma once

#include <cstddef>
#include <functional>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "tools/cli/streams.hpp"

namespace nestcup::cli {

class Parsed;

/// What a shell may offer for a value.
enum class Hint { none, file, directory, words };

struct Completion {
  Hint hint = Hint::none;
  std::vector<std::string> words{};  ///< for Hint::words alone
};

/// An option: a switch, or one with a value where `value_name` is given.
struct OptionSpec {
  std::string name{};          ///< long name without dashes: "json"
  char short_letter = '\0';    ///< '\0' for none
  std::string value_name{};    ///< "FILE"; empty for a switch
  std::string help{};          ///< half a sentence, lower case, no full stop
  std::string default_text{};  ///< the value taken when the option is not given
  Completion complete{};
  bool repeatable = false;
  bool required = false;
  bool hidden = false;        ///< understood, but not shown
  bool stands_alone = false;  ///< like --help: with it nothing more is asked for

  [[nodiscard]] bool is_switch() const { return value_name.empty(); }
};

inline constexpr std::size_t any_number = std::numeric_limits<std::size_t>::max();

/// An argument, or a row of them. At most one of a command's may vary in number.
struct ArgumentSpec {
  std::string name;  ///< "TRACE"
  std::string help;
  std::size_t min = 1;
  std::size_t max = 1;
  Completion complete{};
};

struct Example {
  std::string command;  ///< as typed, from the program's name on
  std::string explanation;
};

/// What an exit code of this command means beyond 0 (done) and 64 (wrong usage).
struct ExitNote {
  int code = 0;
  std::string meaning;
};

/// One command. `run` gets the checked words and returns the exit code.
struct CommandSpec {
  std::string name{};
  std::string summary{};                   ///< one line, lower case, no full stop
  std::vector<std::string> description{};  ///< paragraphs
  std::vector<OptionSpec> options{};
  std::vector<ArgumentSpec> arguments{};
  std::vector<Example> examples{};
  std::vector<ExitNote> exit_notes{};
  std::function<int(const Parsed&, Streams&)> run{};
  bool hidden = false;
};

/// A program: either several commands, or one that is the program itself (`single`).
struct ProgramSpec {
  std::string name;
  std::string version;
  std::string summary;
  std::vector<std::string> description{};
  std::vector<CommandSpec> commands{};
  std::optional<CommandSpec> single{};
};

/// Options that help and completion show: those of `command` that are not hidden, --help, and
/// --version where the command is the program itself.
[[nodiscard]] std::vector<OptionSpec> shown_options(const ProgramSpec& program,
                                                    const CommandSpec& command);

/// --help and --version of the program itself.
[[nodiscard]] std::vector<OptionSpec> program_options();

/// Commands that are not hidden.
[[nodiscard]] std::vector<CommandSpec> shown_commands(const ProgramSpec& program);

/// How a command is called: "nestcup replay", or the program's name for the single command.
[[nodiscard]] std::string full_name(const ProgramSpec& program, const CommandSpec& command);

}  // namespace nestcup::cli

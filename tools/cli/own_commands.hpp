// What the frame adds to every program: --help and --version, the command help, and the hidden
// ways to its man pages and completion scripts that the build uses.
#pragma once

#include <optional>
#include <string>

#include "core/base/result.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup::cli {

/// The program with `help`, and the hidden `man` and `completion`.
/// @param program  several commands; must outlive the result
[[nodiscard]] ProgramSpec with_own_commands(const ProgramSpec& program);

/// Adds --help to a command; to a single command also --version, and the hidden --man and
/// --completion.
void add_own_options(const ProgramSpec& program, CommandSpec& command);

/// Answers the options that `add_own_options` added.
/// @param command  as described, without them
/// @return the exit code, or nothing where none of them was given
[[nodiscard]] std::optional<int> answer_own_options(const ProgramSpec& program,
                                                    const CommandSpec& command,
                                                    const Parsed& parsed, Streams& streams);

/// Says that there is no such command, with the near miss where there is one.
[[nodiscard]] Error unknown_command(const ProgramSpec& program, const std::string& word);

/// "nestcup 0.1.0" with its line end.
[[nodiscard]] std::string version_line(const ProgramSpec& program);

}  // namespace nestcup::cli

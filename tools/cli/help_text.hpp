// The texts of --help.
#pragma once

#include <string>

#include "tools/cli/command.hpp"

namespace nestcup::cli {

/// Name, usage, and each command with its summary.
[[nodiscard]] std::string overview_text(const ProgramSpec& program);

/// All about one command. For a single-command program, `command` is `*program.single`.
[[nodiscard]] std::string command_help(const ProgramSpec& program, const CommandSpec& command);

/// The call in one line, without the name: "[OPTION...] TRACE...".
[[nodiscard]] std::string synopsis(const CommandSpec& command);

/// An option as it stands in lists: "-m, --mark SECONDS"; four blanks in place of no letter.
[[nodiscard]] std::string option_term(const OptionSpec& option);

/// An option's help with its default and whether it repeats.
[[nodiscard]] std::string option_help(const OptionSpec& option);

/// Exit codes with their meanings: done, the command's notes, wrong usage; sorted by code.
[[nodiscard]] std::vector<ExitNote> all_exit_notes(const CommandSpec& command);

}  // namespace nestcup::cli

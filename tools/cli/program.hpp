// Running a program from its description.
#pragma once

#include <span>
#include <string>

#include "tools/cli/command.hpp"

namespace nestcup::cli {

/// Finds the command, checks its words and runs it; answers --help, --version, help, man and
/// completion itself.
/// @param words  the call without the program's own name
/// @return the exit code; 64 with a line on the error stream for wrong usage
[[nodiscard]] int run_program(const ProgramSpec& program, std::span<const std::string> words,
                              Streams& streams);

/// The whole of a main function: run_program on the process's own streams. A reader of standard
/// output that goes away early (a closed pipe) is no failure; any other failed write is exit 74.
/// SIGPIPE is ignored from then on, also in programs that a command starts.
[[nodiscard]] int program_main(const ProgramSpec& program, int argc, const char* const* argv);

}  // namespace nestcup::cli

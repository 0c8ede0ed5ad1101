// Two small programs with every kind of option and argument, for the tests of the frame.
#pragma once

#include "tools/cli/command.hpp"

namespace nestcup::cli {

/// Several commands: brew (prints what it was given), pour (prints many lines), drop (fails).
[[nodiscard]] ProgramSpec teapot_program();

/// A program that is one command.
[[nodiscard]] ProgramSpec kettle_program();

}  // namespace nestcup::cli

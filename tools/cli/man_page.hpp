// Manual pages in troff's man(7) language.
#pragma once

#include <string>
#include <vector>

#include "tools/cli/command.hpp"

namespace nestcup::cli {

/// Names of all pages of a program, without section: "nestcup", "nestcup-replay", ...
[[nodiscard]] std::vector<std::string> page_names(const ProgramSpec& program);

/// The page about the program: its commands, or all about its single one.
[[nodiscard]] std::string program_page(const ProgramSpec& program);

/// The page about one command of several.
[[nodiscard]] std::string command_page(const ProgramSpec& program, const CommandSpec& command);

}  // namespace nestcup::cli

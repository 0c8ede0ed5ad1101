// Completion scripts for shells.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "tools/cli/command.hpp"

namespace nestcup::cli {

/// Shells that a script can be written for: bash, zsh, fish.
[[nodiscard]] std::vector<std::string> completion_shells();

/// The script for `shell`, complete in itself; nothing for a shell not known.
[[nodiscard]] std::optional<std::string> completion_script(const ProgramSpec& program,
                                                           const std::string& shell);

[[nodiscard]] std::string bash_script(const ProgramSpec& program);
[[nodiscard]] std::string zsh_script(const ProgramSpec& program);
[[nodiscard]] std::string fish_script(const ProgramSpec& program);

}  // namespace nestcup::cli

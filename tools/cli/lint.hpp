// Faults of a program's description that no compiler sees; the tests of every program ask for them.
#pragma once

#include <string>
#include <vector>

#include "tools/cli/command.hpp"

namespace nestcup::cli {

/// One line a fault: names twice or badly formed, missing help, texts that are not ASCII, values
/// without a name, examples that would not parse, and the like. Empty when all is well.
[[nodiscard]] std::vector<std::string> description_faults(const ProgramSpec& program);

}  // namespace nestcup::cli

// From the words of a call to checked values.
#pragma once

#include <span>
#include <string>

#include "core/base/result.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup::cli {

/// The words behind the command's name, held against its description. Options and arguments mix
/// freely; "--" ends the options; "-" and negative numbers are arguments. With an option
/// that stands alone (--help) nothing more is asked for.
/// @errors usage (in one line: what is wrong, and the near miss where there is one)
[[nodiscard]] Result<Parsed> parse_words(const CommandSpec& command,
                                         std::span<const std::string> words);

}  // namespace nestcup::cli

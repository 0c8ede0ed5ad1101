// What can hurt in the trials of a sheet.
#pragma once

#include <string>
#include <vector>

#include "core/report/words/texts.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// A sentence or two each, for what the sheet itself shows: acids and bases, gases that are made,
/// dusty powders, hot and electrically heated things. It ends with whose word counts, and names no
/// trial safe.
[[nodiscard]] std::vector<std::string> cautions(const Sheet& sheet, const Texts& texts);

}  // namespace nestcup

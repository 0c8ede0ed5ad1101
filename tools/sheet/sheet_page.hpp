// A sheet for people and for scripts.
#pragma once

#include <nlohmann/json.hpp>
#include <string>

#include "core/sheet/sheet.hpp"

namespace nestcup {

/// Everything that the sheet says, readable; lines end with '\n'.
[[nodiscard]] std::string sheet_page(const Sheet& sheet, bool colour);

/// The same for scripts: keys as in the file, each with its unit; what is not there is null.
[[nodiscard]] nlohmann::ordered_json sheet_json(const Sheet& sheet);

/// "3 trials, 1 stock": what `sheet check` says of a sheet that is in order.
[[nodiscard]] std::string sheet_counts(const Sheet& sheet);

}  // namespace nestcup

// Reading a sheet (TOML) into checked values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

/// A sheet, or everything that is wrong with it.
struct SheetCheck {
  std::optional<Sheet> sheet;   ///< there only where `problems` is empty
  std::vector<Error> problems;  ///< each with file, line and key; in the file's order
};

/// Reads and checks a sheet.
/// @errors (in problems) no_input: no such file; bad_data: all else
[[nodiscard]] SheetCheck check_sheet(const std::string& path);
/// The same from text; `path` names it in messages.
[[nodiscard]] SheetCheck check_sheet_text(const std::string& text, const std::string& path);

/// The same for who wants no more than the first problem.
/// @errors no_input: no such file; bad_data: file, line, key and what was expected
[[nodiscard]] Result<Sheet> read_sheet(const std::string& path);
[[nodiscard]] Result<Sheet> parse_sheet(const std::string& text, const std::string& path);

}  // namespace nestcup

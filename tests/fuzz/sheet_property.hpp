// What must hold for the reader of sheets whatever a file holds; for fuzzing and the plain tests.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup::fuzzing {

/// Reads the text as a sheet. Holds: it is refused, each problem in one line with file and line of
/// the file; or every index points at something, every amount is positive and finite, and each
/// trial has what its purpose needs.
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_sheet_property(std::string_view text);

}  // namespace nestcup::fuzzing

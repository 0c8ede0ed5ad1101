// What must hold for setting an amount whatever a sheet's text is; for fuzzing and the plain tests.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup::fuzzing {

/// Reads the text as a sheet and, where it is one, sets each of its amounts to something else and
/// back. Holds: the edit is refused in one clear line; or the sheet has the new amount and all
/// others as before, and the way back gives the amounts of the beginning, and the very text where
/// the key was not there.
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_edit_property(std::string_view text);

}  // namespace nestcup::fuzzing

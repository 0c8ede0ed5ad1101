// What must hold of the reader of captures whatever it is given; for fuzzing and the plain tests.
#pragma once

#include <optional>
#include <string>
#include <string_view>

namespace nestcup::sim {

/// Reads a text as a capture. Holds: it is refused with its place, or its own text gives the same
/// capture again, and a play of it that hears every question says all that the device said.
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_capture_property(std::string_view text);

}  // namespace nestcup::sim

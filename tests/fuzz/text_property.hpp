// What must hold for the text driver whatever a device sends; for fuzzing and the plain tests.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>

namespace nestcup::fuzzing {

/// Decodes the bytes after the first four, once in one piece and once in pieces, and compares. The
/// first four bytes choose settings and pieces. Holds: both ways give the same readings, faults
/// and kinds of lines; no reading is without a finite value within its probe's range; a probe's
/// stamps rise; what a line gives is no more than one reading or fault a probe.
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_text_property(std::span<const std::uint8_t> input);

}  // namespace nestcup::fuzzing

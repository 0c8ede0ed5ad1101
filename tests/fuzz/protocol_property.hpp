// What must hold for every driver whatever a device sends; for fuzzing and the plain tests.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace nestcup::fuzzing {

/// Decodes the bytes after the first four, once in one piece and once in pieces, and compares. The
/// first four bytes choose settings, pieces and, for devices that are asked, how often; in Modbus
/// also whether each stretch between two questions is made a frame by the checksum of the bytes
/// before its last two. Holds: both ways give the same readings, faults and kinds of lines; no
/// reading is without a finite value within its probe's range; readings and faults are no more
/// than lines and bytes can hold; stamps of a probe rise.
/// @param protocol  its name in the bench file
/// @return what does not hold; nothing where all does
[[nodiscard]] std::optional<std::string> broken_protocol_property(
    std::string_view protocol, std::span<const std::uint8_t> input);

}  // namespace nestcup::fuzzing

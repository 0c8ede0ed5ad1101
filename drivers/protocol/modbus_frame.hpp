// Frames of Modbus RTU: their checksum, questions, and the numbers in registers.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>

#include "core/sheet/port_settings.hpp"

namespace nestcup::drivers {

using Byte = std::uint8_t;

/// Most registers that one question may ask for (MODBUS Application Protocol V1.1b3, 6.3 and 6.4).
inline constexpr int most_registers = 125;
/// Longest frame, bytes (MODBUS over Serial Line V1.02, 2.5.1).
inline constexpr std::size_t longest_frame = 256;
/// Length of a question for registers and of an exception answer, bytes, checksum included.
inline constexpr std::size_t question_size = 8;
inline constexpr std::size_t exception_size = 5;

/// CRC-16 of MODBUS over Serial Line V1.02, 6.2.2: polynomial 0xA001 (reflected), start 0xFFFF.
[[nodiscard]] std::uint16_t modbus_crc(std::span<const Byte> bytes);

/// Whether the last two bytes are the checksum of those before, low byte first; a frame has at
/// least four bytes.
[[nodiscard]] bool checksum_holds(std::span<const Byte> frame);

/// The question for `count` registers (1 to 125) from `place.first` on.
[[nodiscard]] std::string register_question(const RegisterPlace& place, int count);

/// How many registers hold a number of this format: 1 or 2.
[[nodiscard]] int register_count(RegisterFormat format);

/// The number in the first bytes of `data` (2 or 4, as the format needs). A float may be NaN or
/// infinite.
[[nodiscard]] double register_number(std::span<const Byte> data, RegisterFormat format,
                                     WordOrder order);

/// What an exception code says, for a person (Application Protocol V1.1b3, 7).
[[nodiscard]] std::string exception_text(int code);

}  // namespace nestcup::drivers

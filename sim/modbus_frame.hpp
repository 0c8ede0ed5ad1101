// Frames of Modbus RTU as a device makes and reads them (MODBUS Application Protocol Specification
// V1.1b3; MODBUS over Serial Line Specification and Implementation Guide V1.02).
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "sim/board_settings.hpp"

namespace nestcup::sim {

/// CRC-16 of the serial line (V1.02, 6.2.2): polynomial 0xA001 with the bits in reverse, from
/// 0xFFFF, goes out low byte first.
[[nodiscard]] std::uint16_t modbus_crc(std::string_view bytes);
/// A body (address, function, data) with its CRC behind it.
[[nodiscard]] std::string modbus_frame(std::string_view body);
/// Whether a frame of at least four bytes ends with its CRC.
[[nodiscard]] bool crc_holds(std::string_view frame);
/// The answer that says what is wrong: the function with its high bit set, and the code.
[[nodiscard]] std::string modbus_exception(int device, int function, int code);

/// How many registers a number takes: 1 or 2.
[[nodiscard]] constexpr int register_count(NumberFormat format) {
  return format == NumberFormat::int16 || format == NumberFormat::uint16 ? 1 : 2;
}

/// The registers that a number takes, in the order of their addresses. What the format cannot hold
/// (NaN, infinity, too large) becomes the format's sentinel: the lowest of a signed integer, all
/// ones of an unsigned one, NaN of a float.
/// @param number  in the register's own scale; integers are rounded, halves away from zero
[[nodiscard]] std::vector<std::uint16_t> registers_of(double number, NumberFormat format,
                                                      WordOrder order);

}  // namespace nestcup::sim

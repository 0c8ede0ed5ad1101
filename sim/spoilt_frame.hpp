// What a bad line or another device makes of a frame, one function a kind.
#pragma once

#include <string>
#include <string_view>

#include "sim/board_settings.hpp"
#include "sim/random.hpp"

namespace nestcup::sim {

[[nodiscard]] std::string random_bytes(int count, Random& random);
/// Printable bytes without a line end.
[[nodiscard]] std::string endless_line(int count, Random& random);
/// `count` frames of another device's talk, none of which is a reading of this one.
[[nodiscard]] std::string foreign_talk(int count, Protocol protocol, Random& random);

/// The frame without its end; at least one byte stays, at least two go.
[[nodiscard]] std::string cut_off(const std::string& frame, Random& random);
/// A byte in four (one at least) replaced by another.
[[nodiscard]] std::string corrupted(std::string frame, Random& random);
/// A byte in eight (one at least) twice.
[[nodiscard]] std::string with_doubled_bytes(const std::string& frame, Random& random);
/// A NUL before a byte in eight (one at least).
[[nodiscard]] std::string with_nul_bytes(const std::string& frame, Random& random);

/// What a listener at `baud_ratio` times the sender's bit rate hears: the line of start bit, eight
/// data bits and stop bit, sampled in the middle of the listener's bits. A byte without its stop
/// bit arrives as NUL, as termios(3) has it where neither IGNPAR nor PARMRK is set.
[[nodiscard]] std::string heard_at(std::string_view sent, double baud_ratio);

/// Modbus: a CRC that is wrong.
[[nodiscard]] std::string with_wrong_crc(std::string frame, Random& random);
/// Modbus: from another address.
[[nodiscard]] std::string from_other_address(std::string frame, Random& random);
/// Modbus: of another function.
[[nodiscard]] std::string of_other_function(std::string frame);
/// Modbus: an exception in place of the answer.
[[nodiscard]] std::string as_exception(const std::string& frame, int code);

}  // namespace nestcup::sim

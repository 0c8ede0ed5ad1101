// Captures: the traffic of a port as text, one piece of it a line.
//
//     # nestcup-capture 1
//     # anything about where it comes from
//     1250300 < 32312e350d0a
//     2250000 > 520a
//
// An offset in microseconds from the opening of the port, which never falls; `<` from the device to
// the computer or `>` from the computer to the device; the bytes, two hexadecimal digits each.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"

namespace nestcup::sim {

/// Bytes that went one way at one time.
struct CapturedBytes {
  TimeUs offset_us = 0;
  bool from_device = true;
  std::string bytes;  ///< at least one
};

/// A capture, checked.
struct Capture {
  std::vector<CapturedBytes> pieces;  ///< in the order of their offsets
};

/// Reads a capture file.
/// @errors no_input: no such file; bad_data: file, line and what was expected
[[nodiscard]] Result<Capture> read_capture(const std::string& path);

/// The same from text; `path` names it in messages.
[[nodiscard]] Result<Capture> parse_capture(std::string_view text, const std::string& path);

/// A capture as text: the first line, and a line a piece.
[[nodiscard]] std::string capture_text(const Capture& capture);

}  // namespace nestcup::sim

// Settings of a terminal line for raw bytes.
#pragma once

#include "core/base/result.hpp"

namespace nestcup::drivers {

/// Puts a terminal line into raw mode, 8 data bits, no parity, 1 stop bit, no flow control, modem
/// lines ignored, HUPCL cleared (a later close then does not reset the board), VMIN 1, VTIME 0,
/// and reads the settings back, since the kernel calls a partial success a success.
/// @param baud  Bd, > 0; any rate that the driver can make within 2 %
/// @errors bad_configuration: no terminal line, or a rate it cannot make; unavailable: it went away
[[nodiscard]] Result<void> set_raw_mode(int descriptor, int baud);

}  // namespace nestcup::drivers

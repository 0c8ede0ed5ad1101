// Settings of a terminal line for raw bytes.
#pragma once

#include "core/base/result.hpp"
#include "core/sheet/port_settings.hpp"

namespace nestcup::drivers {

/// Puts a terminal line into raw mode, 8 data bits, parity and stop bits as asked for, no flow
/// control, modem lines ignored, HUPCL cleared (a later close then does not reset the board), VMIN
/// 1, VTIME 0, and reads the settings back, since the kernel calls a partial success a success.
/// With parity a byte that arrives spoilt reads as NUL. Pseudo-terminals know no parity; there it
/// is left out.
/// @param mode  baud > 0: any rate that the driver can make within 2 %
/// @errors bad_configuration: no terminal line, or a rate or parity it cannot make; unavailable: it
///         went away
[[nodiscard]] Result<void> set_raw_mode(int descriptor, const LineMode& mode);

/// Raises or lowers DTR and RTS where the mode says so. Lines that a driver does not have are left.
void set_modem_lines(int descriptor, const LineMode& mode);

/// Whether this is the terminal's end of a pseudo-terminal.
[[nodiscard]] bool is_pseudo_terminal(int descriptor);

}  // namespace nestcup::drivers

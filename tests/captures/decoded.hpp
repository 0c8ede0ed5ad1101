// What the drivers make of a captured port.
#pragma once

#include <string>

#include "core/base/result.hpp"

namespace nestcup::captures {

/// Plays the capture of a folder (`traffic.capture`, with the `bench.toml` it was made with) to the
/// port's driver and gives its readings as CSV: time_us, probe, temperature_degC, raw; behind them,
/// as comments, the faults and what the device said of itself. Questions must be those captured.
/// @errors those of the files; bad_data: the driver asks otherwise than it did when captured
[[nodiscard]] Result<std::string> decoded_capture(const std::string& folder);

}  // namespace nestcup::captures

// What the options of nestcup convert say of the probe and its wiring.
#pragma once

#include "tools/convert/numbers.hpp"
#include "tools/convert/request.hpp"

namespace nestcup {

/// A thermocouple's settings; what is wrong is kept in `numbers`.
[[nodiscard]] ThermocoupleSettings read_couple(Numbers& numbers);

/// Settings, full scale and supply of a "thermistor" or "platinum" probe, into `asked`.
void read_resistance(Numbers& numbers, const std::string& kind, ConvertRequest& asked);

}  // namespace nestcup

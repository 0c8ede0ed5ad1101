// LineState: what becomes of a serial port.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "core/base/clock.hpp"

namespace nestcup::drivers {

enum class LineState : std::uint8_t {
  closed,    ///< not started, or stopped
  waiting,   ///< cannot be opened, or another adapter is there; is tried again and again
  settling,  ///< open; what arrives is not yet taken (a board that was reset prints its banner)
  open,      ///< open and taken
  silent,    ///< open, but nothing has arrived for the silence time
};

/// The state's name as logs and status show it.
[[nodiscard]] std::string_view state_name(LineState state);

/// A change of state, told once.
struct LineChange {
  LineState state = LineState::closed;
  std::string reason;   ///< for a person: why, and what to do where something is wrong
  TimeUs since_us = 0;  ///< bench axis
};

}  // namespace nestcup::drivers

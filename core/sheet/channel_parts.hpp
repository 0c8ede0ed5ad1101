// Where on its port a probe's quantity comes from, and what it is. Internal to the room.
#pragma once

#include <string>

#include "core/sheet/port_settings.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup {

/// Place, unit and transducer of a probe, and the channel of its cold junction where it has one.
/// Notes keys that the port's protocol does not know.
void read_measurement(TomlSection& section, const PortSettings& port, ProbeSettings& probe);

/// Where a channel's value stands on its port, to find two that stand in one place; empty where it
/// is not known.
[[nodiscard]] std::string place_text(const ChannelSettings& channel);

}  // namespace nestcup

// The [board] table of a scenario file, and the keys of a Modbus device's registers.
#pragma once

#include "sim/board_settings.hpp"
#include "sim/toml_reader.hpp"

namespace nestcup::sim {

/// The board; as by default where there is no table.
[[nodiscard]] BoardSettings read_board(const toml::table* table, Problems& problems);

/// Where a Modbus device keeps a value, from the table of its probe.
[[nodiscard]] RegisterSettings read_registers(TableReader& reader);

}  // namespace nestcup::sim

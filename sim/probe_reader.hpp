// The [[probe]] tables of a scenario file.
#pragma once

#include <vector>

#include "sim/scenario.hpp"
#include "sim/toml_reader.hpp"

namespace nestcup::sim {

/// The probes, checked against what the board's protocol can carry.
[[nodiscard]] std::vector<ProbeSettings> read_probes(const std::vector<const toml::table*>& tables,
                                                     Protocol protocol, Problems& problems);

}  // namespace nestcup::sim

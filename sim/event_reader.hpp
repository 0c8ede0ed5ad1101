// The [[event]] and [[fault]] tables of a scenario file.
#pragma once

#include <vector>

#include "sim/scenario.hpp"
#include "sim/toml_reader.hpp"

namespace nestcup::sim {

/// The settings of a cup that stand in `reader`'s table ([cup] and "fresh cup").
[[nodiscard]] CupSettings read_cup(TableReader& reader);
/// The same of a second vessel ([added] and "fresh added").
[[nodiscard]] AddedSettings read_added(TableReader& reader);
/// The place under `key`: cup, added or air.
[[nodiscard]] Place read_place(TableReader& reader, const std::string& key);

/// The events, in time order; those at the same time in the file's order.
[[nodiscard]] std::vector<Event> read_events(const std::vector<const toml::table*>& tables,
                                             const std::vector<ProbeSettings>& probes,
                                             Problems& problems);
/// The line's faults, in time order; kinds that mean nothing for the protocol are problems.
[[nodiscard]] std::vector<LineFault> read_faults(const std::vector<const toml::table*>& tables,
                                                 Protocol protocol, Problems& problems);

}  // namespace nestcup::sim

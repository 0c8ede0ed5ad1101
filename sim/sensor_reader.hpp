// The `sensor` table of a probe in a scenario file: what it is, where it sends no temperature.
#pragma once

#include <string>

#include "core/sheet/transducer_settings.hpp"
#include "sim/toml_reader.hpp"

namespace nestcup::sim {

/// A sensor as it stands in the file.
struct SensorTable {
  TransducerSettings sensor;
  std::string cold;  ///< name of the probe at a thermocouple's cold junction; empty for none
};

/// Reads the table; its keys are those of a bench file's transducer.
[[nodiscard]] SensorTable read_sensor(TableReader& reader);

}  // namespace nestcup::sim

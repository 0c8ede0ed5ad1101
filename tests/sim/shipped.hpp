// Scenarios that come with the simulator.
#pragma once

#include <string>

#include "sim/scenario.hpp"
#include "tests/catch.hpp"

namespace nestcup::sim {

/// The scenario of this name in sim/scenarios; it must be there.
inline Scenario shipped(const std::string& name) {
  const auto read =
      read_scenario(std::string(NESTCUP_SOURCE_DIR) + "/sim/scenarios/" + name + ".toml");
  INFO((read.ok() ? "" : read.error().text));
  REQUIRE(read.ok());
  return *read;
}

}  // namespace nestcup::sim

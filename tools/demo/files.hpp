// The files of the demo, embedded at build time.
#pragma once

#include <string>

namespace nestcup::demo {

/// The simulated day (sim/scenarios/oxide-day.toml).
[[nodiscard]] std::string scenario_text();
/// The sheet of that day.
[[nodiscard]] std::string sheet_text();
/// The bench file with board, socket and store in place.
[[nodiscard]] std::string bench_text(const std::string& device, const std::string& control);

}  // namespace nestcup::demo

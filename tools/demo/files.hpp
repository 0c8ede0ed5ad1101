// The files of the demo, embedded at build time.
#pragma once

#include <string>
#include <vector>

namespace nestcup::demo {

/// A simulated day.
struct DayFiles {
  std::string name;      ///< as --day has it
  std::string scenario;  ///< of sim/scenarios
  std::string sheet;
};

/// All days; the first is the usual one.
[[nodiscard]] const std::vector<DayFiles>& days();

/// The bench file, the same on every day, with board and socket in place.
[[nodiscard]] std::string bench_text(const std::string& device, const std::string& control);

}  // namespace nestcup::demo

// What this process takes of the machine.
#pragma once

#include <cstdint>
#include <optional>

namespace nestcup::daemon {

struct ProcessFacts {
  double cpu_s = 0.0;                           ///< of all threads, user and system
  std::optional<std::uint64_t> resident_bytes;  ///< nothing where /proc does not tell
  std::optional<std::uint64_t> open_files;
};

[[nodiscard]] ProcessFacts process_facts();

}  // namespace nestcup::daemon

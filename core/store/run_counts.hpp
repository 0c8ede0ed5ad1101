// How many runs a store has, without reading their records.
#pragma once

#include <cstdint>
#include <string>

#include "core/base/result.hpp"

namespace nestcup {

struct RunCounts {
  std::uint64_t finished = 0;
  std::uint64_t struck = 0;
};

/// @param path  of a store, which is opened for reading
/// @errors as Store::open
[[nodiscard]] Result<RunCounts> run_counts(const std::string& path);

}  // namespace nestcup

// An invented crate of two runs, with letters beyond ASCII and names that need care.
#pragma once

#include <string>

#include "core/notebook/crate.hpp"

namespace nestcup {

[[nodiscard]] CrateFacts sample_crate();

/// Readings with two comment lines, and the columns of their header.
[[nodiscard]] std::string sample_readings();
[[nodiscard]] std::vector<std::string> sample_columns();

}  // namespace nestcup

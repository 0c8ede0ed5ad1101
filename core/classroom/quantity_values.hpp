// What a bench's results hold of each quantity.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "core/classroom/class_quantity.hpp"

namespace nestcup {

/// One value of a bench's results.
struct FoundValue {
  QuantityName name;
  Measured value;
  RunValues runs;
  std::optional<Comparison> accepted;
};

/// Constant, trials and cycle; what could not be worked out is left out, and so is a constant that
/// the sheet gives, and one that is that of a single trial.
[[nodiscard]] std::vector<FoundValue> found_values(const Sheet& sheet, const Results& results);

}  // namespace nestcup

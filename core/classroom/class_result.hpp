// The benches of one sheet side by side: figures, outliers, and reasons.
#pragma once

#include <string>
#include <vector>

#include "core/classroom/class_bench.hpp"
#include "core/classroom/class_quantity.hpp"
#include "core/classroom/reason.hpp"

namespace nestcup {

struct ClassResult {
  std::string title;  ///< of the sheet
  std::vector<ClassBench> benches;
  std::vector<Results> results;  ///< of each bench
  std::vector<ClassQuantity> quantities;
  std::vector<BenchJudgement> judgements;  ///< of each bench
};

/// Works every bench out by its own sheet and puts them side by side.
/// @param benches  of one sheet's title, each with a sheet; names differ
[[nodiscard]] ClassResult class_result(std::vector<ClassBench> benches);

}  // namespace nestcup

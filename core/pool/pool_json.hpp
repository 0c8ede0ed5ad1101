// A pooled class for programs, and what its tables say alike.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/classroom/class_result.hpp"
#include "core/pool/collected.hpp"
#include "core/record/run_record.hpp"

namespace nestcup::pooled {

/// What is printed beside the results themselves.
struct PoolContext {
  std::vector<LeftOutRun> nowhere;
  std::vector<std::string> notes;
  /// Rows and reasons stand without names, those of each table by rising value, so that rows of two
  /// tables cannot be brought together.
  bool nameless = false;
};

/// One object; core/classroom/METHOD.md has its keys.
[[nodiscard]] Json pool_json(std::span<const ClassResult> results, const PoolContext& context);

/// "outlying", "straggling" or "in line".
[[nodiscard]] std::string standing_word(const BenchValue& value);

/// The values of a quantity in the order in which they are shown.
[[nodiscard]] std::vector<const BenchValue*> shown_values(const ClassQuantity& quantity,
                                                          bool nameless);

}  // namespace nestcup::pooled

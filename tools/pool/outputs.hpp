// A pooled class for people, for programs and for spreadsheets.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/classroom/class_result.hpp"
#include "core/record/run_record.hpp"
#include "tools/pool/collected.hpp"

namespace nestcup::pooled {

/// What is printed beside the results themselves.
struct PoolContext {
  std::vector<LeftOutRun> nowhere;
  std::vector<std::string> notes;
  /// Rows and reasons stand without names, those of each table by rising value, so that rows of two
  /// tables cannot be brought together.
  bool nameless = false;
};

/// Tables with numbers and titles, what stands out, and what is left out.
[[nodiscard]] std::string pool_page(std::span<const ClassResult> results,
                                    const PoolContext& context, bool colour);

/// One object; core/classroom/METHOD.md has its keys.
[[nodiscard]] Json pool_json(std::span<const ClassResult> results, const PoolContext& context);

/// A row for each bench and quantity (RFC 4180); core/classroom/METHOD.md has its columns.
[[nodiscard]] std::string pool_csv(std::span<const ClassResult> results,
                                   const PoolContext& context);

/// "outlying", "straggling" or "in line".
[[nodiscard]] std::string standing_word(const BenchValue& value);

/// The values of a quantity in the order in which they are shown.
[[nodiscard]] std::vector<const BenchValue*> shown_values(const ClassQuantity& quantity,
                                                          bool nameless);

}  // namespace nestcup::pooled

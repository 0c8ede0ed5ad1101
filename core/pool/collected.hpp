// Benches put together from stores, folders and single records.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/classroom/class_bench.hpp"
#include "core/store/run_book.hpp"

namespace nestcup::pooled {

/// The benches of one sheet's title.
struct SheetBenches {
  std::string title;
  std::vector<ClassBench> benches;
};

struct Collected {
  std::vector<SheetBenches> sheets;  ///< in the order in which their first runs came
  /// Runs of no sheet: what they are, and why they count nowhere.
  std::vector<LeftOutRun> nowhere;
  std::vector<std::string> notes;  ///< "the name demo comes from 3 places: ..."
};

/// Reads every argument: a store, a folder with a store, a folder with run records (in it, or one
/// or two folders further down), or a single record.
/// @param book        of many benches, beside the arguments; may be null
/// @param sheet_path  by which all benches are worked out; absent: by their own
/// @errors no_input: no such file or folder; bad_data: it holds no runs; a sheet or a record is
///         wrong; as Store::open
[[nodiscard]] Result<Collected> collect(const std::vector<std::string>& arguments,
                                        const RunBook* book,
                                        const std::optional<std::string>& sheet_path);

}  // namespace nestcup::pooled

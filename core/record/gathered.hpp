// Runs put together for working a sheet out.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/chemistry/results.hpp"
#include "core/chemistry/run_facts.hpp"
#include "core/record/run_record.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// A run that does not count.
struct LeftOut {
  std::string run;     ///< "run 3", or its file
  std::string trial;   ///< empty for none
  std::string why;     ///< "struck out" or "unusable"
  std::string reason;  ///< given when it was struck out; empty where it is not known
};

/// Runs that count, and those that do not.
struct Gathered {
  std::vector<RunFacts> runs;
  std::vector<LeftOut> left_out;
};

/// Adds a record's run.
/// @param from  names the record in messages
/// @errors bad_data: it is no run record
[[nodiscard]] Result<void> gather_record(const Json& record, const std::string& from,
                                         Gathered& gathered);

/// Adds all finished runs of a book.
/// @errors bad_data; as RunBook's
[[nodiscard]] Result<void> gather_runs(const RunBook& book, Gathered& gathered);

/// Works the sheet out from the runs that count, and notes those that do not.
[[nodiscard]] Results worked_out(const Sheet& sheet, const Gathered& gathered);

}  // namespace nestcup

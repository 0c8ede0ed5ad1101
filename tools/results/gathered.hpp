// Runs put together for working a sheet out.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/chemistry/run_facts.hpp"
#include "core/record/run_record.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// Runs that count, and what is said of those that do not.
struct Gathered {
  std::vector<RunFacts> runs;
  std::vector<std::string> left_out;  ///< "run 3 is struck out and left out"
};

/// Adds a record's run.
/// @param from  names the record in messages
/// @errors bad_data: it is no run record
[[nodiscard]] Result<void> gather_record(const Json& record, const std::string& from,
                                         Gathered& gathered);

/// Adds all finished runs of a store.
/// @errors bad_data; as Store's
[[nodiscard]] Result<void> gather_store(const Store& store, Gathered& gathered);

}  // namespace nestcup

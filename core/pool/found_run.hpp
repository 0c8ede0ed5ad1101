// What was found at one place, before it is sorted into benches.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/classroom/class_bench.hpp"
#include "core/record/run_record.hpp"
#include "core/store/store.hpp"

namespace nestcup::pooled {

/// A run with what decides where it belongs.
struct FoundRun {
  std::string id;
  int revision = 0;
  std::string bench;         ///< as the record says; empty where it says nothing
  std::string sheet_title;   ///< empty where the record names none
  std::string sheet_sha256;  ///< likewise
  std::string label;
  std::string trial;
  std::optional<ClassRun> run;  ///< nothing where it does not count
  std::string why;              ///< it does not
  std::string reason;           ///< given at the bench
};

/// Where runs were found together: a store or a folder.
struct Place {
  std::string path;       ///< as it was given
  std::string canonical;  ///< the same for two ways of writing it
  std::vector<FoundRun> runs;
  std::vector<StoredSheet> sheets;  ///< kept there, by first use
  std::string sheet_path;           ///< of sheet.toml there or in the folder above; empty for none
};

/// @param label  names the run for people
/// @errors bad_data: it is no run record
[[nodiscard]] Result<FoundRun> found_run(const Json& record, const std::string& label,
                                         const std::string& from);

/// All runs of a book, those struck out with the reason that was given.
/// @errors as RunBook; bad_data
[[nodiscard]] Result<void> read_runs(const RunBook& book, Place& place);

/// The same of a store.
/// @errors as Store::open; bad_data
[[nodiscard]] Result<void> read_store(const std::string& path, Place& place);

/// A store, a record, or a folder with such in it.
/// @param places  by path; single records go to the folder above that of their run
/// @errors as collect
[[nodiscard]] Result<void> read_argument(const std::string& argument, std::vector<Place>& places);

}  // namespace nestcup::pooled

// Runs of a store packed into one research-object crate (crate.hpp): each run is the folder of
// files that notebooks get (run_entry.hpp), and beside them lies where the chain of records ends,
// if all of it is in the crate. The same store gives the same bytes: all dates come from its runs.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/notebook/crate.hpp"
#include "core/record/run_record.hpp"
#include "core/store/store.hpp"

namespace nestcup {

struct PackOptions {
  std::vector<std::string> which;  ///< numbers, ids or ends of ids; empty: all runs
  std::string name;                ///< of the crate; empty: by benches and days
  std::string description;         ///< empty: what is in it
  std::vector<CratePerson> people;
  CrateLicence licence;
  bool logins = true;  ///< whether the history says by which login a run was changed
};

/// A run of a pack.
struct PackedRun {
  int number = 0;
  std::string id;
  int revision = 0;
  std::string status;
  std::string folder;
  std::size_t files = 0;
  std::size_t bytes = 0;  ///< of its files
};

struct Pack {
  std::vector<BundleFile> files;  ///< paths below the crate's folder, the metadata first
  std::vector<PackedRun> runs;    ///< by number
  TimeUs newest_us = 0;           ///< Unix time of the newest revision in it
  bool has_chain_end = false;

  [[nodiscard]] std::size_t bytes() const;
};

/// @param tell  is told how many runs are done and how many there are, since charts take a while
/// @errors no_input: no such run, no runs at all; bad_data: a store of an older version, a record
///         that cannot be read, people or words that no crate may have; as Store
[[nodiscard]] Result<Pack> make_pack(const Store& store, const PackOptions& options,
                                     const std::function<void(std::size_t, std::size_t)>& tell);

/// A run as the crate shows it: the record's numbers as measured values, with the record's own keys
/// ("temperatures.final_degC") as their ids.
/// @param number   of the run in its store
/// @param history  of the run up to this record's revision, from the first on
/// @throws Json::exception  where the record is none
[[nodiscard]] CrateRun crate_run(const Json& record, int number,
                                 const std::vector<RevisionNote>& history);

}  // namespace nestcup

// proof.json of a run's folder: what became of the run, and the digests by which its files, its
// records and its place in the store's chain can be checked later.
#pragma once

#include <string>
#include <vector>

#include "core/notebook/bundle.hpp"
#include "core/record/run_record.hpp"
#include "core/store/chain.hpp"
#include "core/store/store.hpp"

namespace nestcup {

inline constexpr const char* proof_name = "proof.json";

/// A sheet and the file that holds it.
struct ProofSheet {
  std::string file;
  StoredSheet sheet;  ///< read back, its text is empty: the file has it
};

/// One revision as a proof tells it.
struct ProofRevision {
  int revision = 0;
  RevisionNote note;
  std::string file;  ///< that holds its record
  ChainLink link;
  std::string previous_sha256;  ///< of the link before; "" for a chain's first
};

/// A proof read back.
struct Proof {
  std::string run_id;
  int number = 0;
  TimeUs first_us = 0;  ///< of the run's readings, on the bench's axis
  TimeUs last_us = 0;
  std::string book;                      ///< id of the chain
  std::vector<ProofRevision> revisions;  ///< 1, 2, 3 ...
  std::vector<ProofSheet> sheets;
  std::vector<std::pair<std::string, std::string>> files;  ///< path and SHA-256 of the others
};

/// @param run        as of the last of `revisions`
/// @param revisions  of the run from the first on
/// @param files      all others of the run's folder
/// @errors as Chain; bad_data: a revision that is in no chain
[[nodiscard]] Result<Json> proof_json(const Store& store, const StoredRun& run,
                                      const std::vector<StoredRevision>& revisions,
                                      const std::vector<ProofSheet>& sheets,
                                      const std::vector<BundleFile>& files);

/// @param name  for messages
/// @errors bad_data: no JSON, or no proof
[[nodiscard]] Result<Proof> parse_proof(const std::string& text, const std::string& name);

}  // namespace nestcup

// The files of a run that was carried out, as a store takes them.
#pragma once

#include <string>
#include <vector>

#include "core/notebook/import_plan.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// A run's files, read.
struct ImportFiles {
  std::vector<std::string> records;  ///< as the store writes them, by revision
  std::vector<StoredSheet> sheets;
  std::vector<StoredProbe> probes;
  std::vector<Reading> readings;  ///< on the bench's axis; probe: index of `probes`
};

/// @errors as KeptPlace::read; bad_data: readings or probes that do not fit together
/// Throws where a file is another one than its digest said.
[[nodiscard]] Result<ImportFiles> import_files(const ImportCandidate& candidate);

}  // namespace nestcup

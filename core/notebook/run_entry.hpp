// A revision of a run as notebooks, archives and crates hold it: a folder of files that explain and
// prove themselves without the program.
//
//   run.json                    the record
//   readings.csv                a trace file, which `nestcup replay` reads
//   readings.csv-metadata.json  what its columns are (CSVW)
//   chart.svg, chart.png        where the readings show the record's rise again
//   page.md                     the page for people
//   sheet.toml                  the sheet that the record names
//   proof.json                  history, digests and links of every revision so far
//   run.r1.json, sheet.r1.toml  records of earlier revisions, and sheets only they name
#pragma once

#include <string>
#include <vector>

#include "core/notebook/bundle.hpp"
#include "core/record/run_record.hpp"
#include "core/report/words/texts.hpp"
#include "core/store/store.hpp"

namespace nestcup {

struct RunEntry {
  int number = 0;  ///< in its store
  std::string id;
  int revision = 0;
  std::string bench;   ///< its name; may be empty
  Json record;         ///< of this revision
  std::string folder;  ///< name of the run's folder; the same for all of its revisions
  std::vector<BundleFile> files;

  /// The bytes of one of the files; nothing where there is none of that name.
  [[nodiscard]] const std::string* bytes_of(std::string_view path) const;
};

struct EntryOptions {
  Language language = Language::english;
  bool charts = true;
  bool logins = true;  ///< whether history and proof say by which login a revision was made
};

/// @errors as Store; bad_data: a record that cannot be read; no_input: no such revision
[[nodiscard]] Result<RunEntry> run_entry(const Store& store, const std::string& run_id,
                                         int revision, const EntryOptions& options = {});

/// "2026-11-25 bench-4 oxide-2 9a3f1c": date, bench, trial and the end of the id, by the run's
/// first record.
[[nodiscard]] std::string entry_folder(const Json& first_record);

/// "run.r1.json": the name of a file as an earlier revision had it.
[[nodiscard]] std::string name_of_revision(const std::string& name, int revision);

}  // namespace nestcup

// A research-object crate of runs: RO-Crate 1.1 (its specification, chapters "Root Data Entity" to
// "Provenance"), written so that the file within a zip archive is an .eln file, too (the ELN
// Consortium's specification of the format).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/bundle.hpp"

namespace nestcup {

struct CratePerson {
  std::string name;
  std::string orcid;  ///< "0000-0002-1825-0097", or that as an address; empty: none
};

/// Whoever publishes what the crate says.
struct CratePublisher {
  std::string name;
  std::string url;  ///< empty where there is none
};

/// Without anything said, all rights stay where they are.
struct CrateLicence {
  std::string text =
      "No licence was stated. All rights in these measurements stay with the people who made them; "
      "ask them before you use, change or pass on what is in here.";
  std::string url;  ///< of the licence; empty where `text` is all
};

/// One number of a run.
struct CrateMeasured {
  std::string property_id;  ///< parts by ".": "results.corrected_rise_K"; once in a run
  std::string name;         ///< for people
  double value = 0.0;       ///< in `unit_text`
  std::string unit_text;    ///< empty for numbers without a unit
  std::optional<double> u;  ///< standard uncertainty (k = 1), same unit
};

/// One run: a folder of its own.
struct CrateRun {
  std::string folder;  ///< below the crate: "run-01a211b7"
  std::string name;
  std::string identifier;     ///< the run's own, wherever it is kept
  std::string date_created;   ///< RFC 3339; may be empty, as all that follow
  std::string date_modified;  ///< RFC 3339
  std::string text;
  std::string bench;  ///< the instrument, by the name its people gave it
  std::vector<std::string> keywords;
  std::vector<BundleFile> files;  ///< paths below `folder`
  std::vector<CrateMeasured> measured;
};

struct CrateFacts {
  std::string name;
  std::string description;
  std::string date_published;  ///< ISO 8601, at least a day: "2026-11-25"
  CrateLicence licence;
  std::vector<CratePerson> people;  ///< who made the runs; nobody is named who was not given
  CratePublisher publisher{"nestcup", ""};
  std::vector<BundleFile> files;  ///< beside the runs' folders
  std::vector<CrateRun> runs;
};

inline constexpr const char* crate_metadata_name = "ro-crate-metadata.json";

/// The text of `ro-crate-metadata.json` (flattened JSON-LD): the same text for the same facts.
/// @errors bad_data: what must be said is not (name, description, date, a run's name), a date, an
///         ORCID or a number that is none, a path that is no path (`check_bundle`), a name twice
[[nodiscard]] Result<std::string> crate_metadata(const CrateFacts& facts);

/// The whole crate: its metadata first, then every file, with paths below the crate's folder.
/// An .eln file is the archive of these `below_folder(name of the file without .eln)`.
[[nodiscard]] Result<std::vector<BundleFile>> crate_files(CrateFacts facts);

}  // namespace nestcup

// Runs that were carried out, read back: from a notebook's folder, one run's folder, a crate's
// folder, a zip archive of any of these, or a course's database. Opening reads the proofs alone, so
// that places with thousands of runs can be gone through one at a time.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/bundle.hpp"
#include "core/notebook/notebook.hpp"
#include "core/notebook/proof.hpp"

namespace nestcup {

/// A file of a run as it lies there.
struct KeptFile {
  std::string name;  ///< where it really lies: people's own edits move ours beside them
  std::string bytes;
  bool as_made = true;  ///< whether it has the digest that the proof states
};

/// A run of a place, by its proof. Where a newer proof lies beside one that was edited
/// ("proof.r2.json"), that one counts.
struct KeptEntry {
  std::string folder;      ///< below the place, "" for the place itself
  std::string where;       ///< for messages
  std::string proof_file;  ///< the name of the file with the proof
  Proof proof;
};

/// A run with its files.
struct KeptRun {
  std::string where;
  Proof proof;
  std::map<std::string, std::string> files;  ///< name and bytes

  /// A file that the proof names: the one with the digest that the proof states, be it under its
  /// own name or beside ("run.r2.json"); else the one of that name, as it is now; else nothing.
  /// @param name  "run.json"
  [[nodiscard]] std::optional<KeptFile> file(const std::string& name) const;
};

/// The end of a chain, and the file that keeps it.
struct KeptEnd {
  std::string where;
  KeptHead kept;
};

/// A link of a chain that stands in a table of its own, beside the proofs.
struct KeptLink {
  std::string where;
  std::string book;
  ChainLink link;
  std::string previous_sha256;
};

/// What reads the runs of a place that holds no files.
class KeptSource {
 public:
  KeptSource() = default;
  KeptSource(const KeptSource&) = delete;
  KeptSource& operator=(const KeptSource&) = delete;
  virtual ~KeptSource() = default;

  /// The run with the files that it would have in a folder, its proof with their digests.
  [[nodiscard]] virtual Result<KeptRun> read(const KeptEntry& entry) const = 0;
};

/// Names and bytes of a folder or of an archive that was read; paths below it, "" for itself.
struct PlaceFiles {
  std::string path;
  std::shared_ptr<const std::map<std::string, std::string>> archive;  ///< nothing for a folder

  [[nodiscard]] bool has(const std::string& file) const;
  /// @errors io
  [[nodiscard]] Result<std::string> bytes(const std::string& file) const;
  /// A name for messages.
  [[nodiscard]] std::string where(const std::string& below) const;
};

class KeptPlace {
 public:
  /// Finds the runs. A folder that holds none is passed over; what looks like a run and cannot be
  /// read is among `problems`, and the others go on.
  /// @param path  a folder, an archive, or the address of a database ("postgres://...")
  /// @errors no_input: nothing there; usage: a store; bad_data: a file that is no archive
  ///         (`read_archive`); io; of a database as `postgres_place`
  [[nodiscard]] static Result<KeptPlace> open(const std::string& path);
  /// A place that holds no files.
  struct Tables {
    std::vector<KeptEntry> entries;
    std::vector<KeptEnd> ends;
    std::vector<KeptLink> links;
    std::vector<std::string> problems;
  };
  [[nodiscard]] static KeptPlace of(std::string path, std::shared_ptr<const KeptSource> source,
                                    Tables tables);

  [[nodiscard]] const std::string& path() const { return files_.path; }
  /// By name of their folders.
  [[nodiscard]] const std::vector<KeptEntry>& entries() const { return entries_; }
  [[nodiscard]] const std::vector<KeptEnd>& ends() const { return ends_; }
  /// Links that are known beside those of the proofs, which may be among them.
  [[nodiscard]] const std::vector<KeptLink>& links() const { return links_; }
  /// Whether it is made of files, which may change while they are read.
  [[nodiscard]] bool is_files() const { return source_ == nullptr; }
  [[nodiscard]] const std::vector<std::string>& problems() const { return problems_; }

  /// The files of a run that its proof names, as far as they are there, and those beside them.
  /// @errors bad_data: the proof names a file outside of its folder; io
  [[nodiscard]] Result<KeptRun> read(const KeptEntry& entry) const;

 private:
  friend class PlaceReader;
  PlaceFiles files_;
  std::vector<KeptEntry> entries_;
  std::vector<KeptEnd> ends_;
  std::vector<KeptLink> links_;
  std::vector<std::string> problems_;
  std::shared_ptr<const KeptSource> source_;
};

}  // namespace nestcup

// Whether what is kept of a run belongs together: readings, records, files and links, held against
// each other by their digests, and the rise worked out anew from the readings.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/notebook/kept_runs.hpp"
#include "core/store/chain.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// How far a rise that is worked out anew by the same analysis may lie from the recorded one, K.
/// On one machine it comes out the same to the last digit; another compiler or mathematics library
/// rounds its last digits differently, and a fit that ends when its steps are small enough may end
/// a step earlier or later. A millionth of a kelvin is far more than that makes, and far less than
/// what one digit of a reading changes: in one of 600 readings 0.01 K count for 0.000 004 K or so.
inline constexpr double rise_tolerance_K = 1e-6;

/// Something found, by a word for scripts and in words for people.
struct CheckNote {
  std::string code;  ///< "readings-digest"
  std::string text;  ///< which file or row, what is wrong, what was expected
};

/// A revision to be checked.
struct CheckedRevision {
  int revision = 0;
  std::string where;                       ///< of its record: a file, or a row of the store
  std::optional<std::string> record_json;  ///< nothing: it is not there
  std::optional<ChainLink> link;
  std::optional<std::string> previous_sha256;  ///< of the link before; "" for the chain's first
};

/// A run to be checked, wherever it is kept.
struct CheckedRun {
  std::string where;
  std::string id;
  int number = 0;
  std::string book;
  std::vector<CheckedRevision> revisions;
  std::string readings_where;
  /// Readings as `trace_text` writes them, times from the run's first; nothing: not readable.
  std::optional<std::string> readings{};
  std::vector<CheckNote> faults{};  ///< found while it was read
  std::vector<CheckNote> notes{};
};

/// What was found. Only faults count; notes say what a person should know.
struct RunVerdict {
  std::string where;
  std::string id;
  int number = 0;
  std::string bench;
  int revision = 0;  ///< newest
  std::vector<CheckNote> faults{};
  std::vector<CheckNote> notes{};
  std::optional<double> recorded_rise_K{};  ///< corrected rise of the newest record
  std::optional<double> anew_rise_K{};      ///< from the readings, by this program's analysis

  [[nodiscard]] bool well() const { return faults.empty(); }
};

/// A run of a store, with its links.
/// @param book   the id of its chain
/// @param links  of that chain, in order, as far as they are there
/// @errors as RunBook
[[nodiscard]] Result<CheckedRun> run_of_store(const RunBook& source, const StoredRun& run,
                                              const std::string& book,
                                              const std::vector<ChainLink>& links);

/// A run that was carried out. Files that its proof names are checked by their digests: records,
/// readings and sheets must be as they were made; others that people edited are noted.
[[nodiscard]] CheckedRun run_of_files(const KeptRun& run);

/// Whether the rise is worked out anew, which takes a tenth of a second or so.
enum class RiseCheck { work_out, leave };

[[nodiscard]] RunVerdict verify_run(const CheckedRun& run, RiseCheck rise = RiseCheck::work_out);

}  // namespace nestcup

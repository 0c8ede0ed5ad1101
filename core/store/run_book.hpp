// A book of runs that can be read: the store of a bench, or the database of a department.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/base/reading.hpp"
#include "core/base/result.hpp"

namespace nestcup {

/// A finished run, one row; its record lives in revisions.
struct StoredRun {
  std::string id;           ///< UUIDv7
  int number = 0;           ///< of its book: 1, 2, 3 ... in a store
  TimeUs first_us = 0;      ///< first reading of the run
  TimeUs last_us = 0;       ///< last reading of the run
  int revision = 0;         ///< newest revision
  std::string status;       ///< "finished" or "struck"
  std::string record_json;  ///< of the newest revision
};

/// Where a run lies among the readings.
struct RunSpan {
  TimeUs first_us = 0, last_us = 0;
  bool behind_another = false;  ///< its foreperiod began where the run before it ended
};

/// Why a record got a new revision.
struct RevisionNote {
  std::string action;  ///< "finished", "struck", "restored", ...
  std::string reason;
  std::string who;  ///< login name or "bench"
  TimeUs wall_us = 0;
};

struct StoredRevision {
  int revision = 0;
  RevisionNote note;
  std::string record_json;
};

/// A sheet that records refer to, as its file was then.
struct StoredSheet {
  std::string sha256;  ///< of the text, lower-case hex
  std::string title;
  std::string text;
  TimeUs first_used_us = 0;  ///< Unix time
};

/// Readings whose `probe` is a place in `roles`, by time, then probe.
struct RoledReadings {
  std::vector<ProbeRole> roles;
  std::vector<Reading> readings;
};

/// What those need who only read runs. Calls on one object come from one thread at a time.
class RunBook {
 public:
  RunBook() = default;
  virtual ~RunBook() = default;

  /// For messages: a path, or an address.
  [[nodiscard]] virtual const std::string& name() const = 0;

  /// All runs by number, each with its newest record.
  [[nodiscard]] virtual Result<std::vector<StoredRun>> runs() const = 0;
  /// Hands over the same, one at a time; an error of `take` ends it. A book of many runs holds only
  /// a few of them in memory meanwhile.
  [[nodiscard]] virtual Result<void> each_run(
      const std::function<Result<void>(const StoredRun&)>& take) const;
  /// The run with this number ("3"), full id, or unique end of an id (at least 4 characters).
  /// @errors no_input: none (says the nearest); usage: ambiguous
  [[nodiscard]] virtual Result<StoredRun> find_run(const std::string& which) const = 0;
  /// Every revision of a run, in order.
  [[nodiscard]] virtual Result<std::vector<StoredRevision>> revisions(
      const std::string& id) const = 0;
  /// The run's readings; there may be others among them that were taken beside it, in its first
  /// moment or its last, which its record can tell (readings_of in core/record).
  [[nodiscard]] virtual Result<RoledReadings> readings_about(const StoredRun& run) const = 0;

  /// All kept sheets by first use.
  [[nodiscard]] virtual Result<std::vector<StoredSheet>> sheets() const = 0;
  /// The sheet whose digest begins so (letters of either case).
  /// @errors no_input: none; usage: ambiguous, or less than 4 characters
  [[nodiscard]] virtual Result<StoredSheet> find_sheet(const std::string& sha256_begin) const = 0;

  /// The same book once more, to be read by another thread.
  [[nodiscard]] virtual Result<std::unique_ptr<RunBook>> reopened() const = 0;

 protected:
  RunBook(const RunBook&) = default;
  RunBook(RunBook&&) = default;
  RunBook& operator=(const RunBook&) = default;
  RunBook& operator=(RunBook&&) = default;
};

}  // namespace nestcup

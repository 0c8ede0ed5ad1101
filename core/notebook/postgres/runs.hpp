// Runs of a course's database, read back: the one place for all who look at them by SQL.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/notebook/postgres/session.hpp"
#include "core/record/stored_run.hpp"
#include "core/record/trace_text.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// A run with its newest revision.
struct PostgresRun {
  long long number = 0;     ///< in the database; numbers may be left out
  std::string id;           ///< UUIDv7
  std::string book;         ///< id of its bench's chain of records
  std::string bench;        ///< its name, may be empty
  int number_at_bench = 0;
  TimeUs first_us = 0;      ///< first and last reading on the bench's axis
  TimeUs last_us = 0;
  int revision = 0;
  std::string status;       ///< "finished" or "struck"
  std::string record_json;
};

/// Readings of a run, in the order and with the roles of its record's probes.
struct PostgresReadings {
  RunReadings readings;  ///< times on the bench's axis
  RawUnits raw_units;
};

/// Each call is a transaction of its own that can only look; errors as PostgresSession.
class PostgresRuns {
 public:
  explicit PostgresRuns(PostgresSession& session);

  /// Runs by number: at most `most` of those behind `after`. Thousands of runs are gone through in
  /// such pages.
  /// @param bench  runs of benches of this name alone; nothing: of all
  [[nodiscard]] Result<std::vector<PostgresRun>> runs(
      long long after, int most, const std::optional<std::string>& bench = std::nullopt);
  /// The run with this number in the database ("3"), full id, or unique end of an id (at least 4
  /// characters).
  /// @errors no_input: none; usage: ambiguous
  [[nodiscard]] Result<PostgresRun> find_run(const std::string& which);
  /// All revisions of a run, in order; empty: no such run.
  [[nodiscard]] Result<std::vector<StoredRevision>> revisions(const std::string& id);
  /// @errors also bad_data: the rows do not fit together
  [[nodiscard]] Result<PostgresReadings> readings(const std::string& id);
  /// Those that these digests name, as far as they are there.
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets(const std::vector<std::string>& sha256);
  /// All of them, by first use.
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets();
  /// Names of the benches that have runs.
  [[nodiscard]] Result<std::vector<std::string>> benches();

 private:
  PostgresSession& session_;
};

/// Numbers of an array as PostgreSQL writes it ("{1,2.5}").
/// @errors bad_data
[[nodiscard]] Result<std::vector<double>> doubles_of(std::string_view array);
[[nodiscard]] Result<std::vector<std::int64_t>> wholes_of(std::string_view array);

}  // namespace nestcup

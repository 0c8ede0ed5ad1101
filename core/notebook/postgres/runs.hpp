// Runs of a course's database, read back: the one place for all who look at them by SQL.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/notebook/postgres/session.hpp"
#include "core/record/stored_run.hpp"
#include "core/record/trace_text.hpp"
#include "core/store/chain.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// A run with its newest revision, and the record of that, or what was made of it anew since.
struct PostgresRun {
  long long number = 0;  ///< in the database; numbers may be left out
  std::string id;        ///< UUIDv7
  std::string book;      ///< id of its bench's chain of records
  std::string bench;     ///< its name, may be empty
  int number_at_bench = 0;
  TimeUs first_us = 0;  ///< first and last reading on the bench's axis
  TimeUs last_us = 0;
  int revision = 0;
  std::string status;  ///< "finished" or "struck"
  std::string record_json;
};

/// Which runs of a database are meant: those for which all holds that is given.
struct RunChoice {
  std::optional<std::string> bench;   ///< its name
  std::optional<std::string> course;  ///< title of the sheet
  std::optional<TimeUs> since_us;     ///< started then or later; Unix time
  std::optional<TimeUs> before_us;    ///< started earlier
  int last = 0;                       ///< of these only so many by number, the newest; 0: all
};

/// Readings of a run, in the order and with the roles of its record's probes.
struct PostgresReadings {
  RoledReadings readings;  ///< times on the bench's axis
  RawUnits raw_units;
};

/// Links of a run and those right before them, by number.
struct PostgresLinks {
  std::string book;  ///< of the chain that has most of its revisions; its own where two have
  std::vector<ChainLink> links;
};

/// Each call is a transaction of its own that can only look; errors as PostgresSession.
class PostgresRuns {
 public:
  explicit PostgresRuns(PostgresSession& session);

  /// Runs by number: at most `most` of those behind `after`. Thousands of runs are gone through in
  /// such pages.
  /// @param choice  its `last` is for number_before_last
  [[nodiscard]] Result<std::vector<PostgresRun>> runs(long long after, int most,
                                                      const RunChoice& choice = {});
  /// The number behind which the choice's last runs lie; 0 for all.
  [[nodiscard]] Result<long long> number_before_last(const RunChoice& choice);
  /// The run with this number in the database ("3"), full id, or unique end of an id (at least 4
  /// characters).
  /// @errors no_input: none; usage: ambiguous
  [[nodiscard]] Result<PostgresRun> find_run(const std::string& which);
  /// All revisions of a run, in order; empty: no such run.
  [[nodiscard]] Result<std::vector<StoredRevision>> revisions(const std::string& id);
  /// What was made anew of the newest revision since, by its number; nothing where nothing was.
  [[nodiscard]] Result<std::optional<StoredRevision>> made_anew(const std::string& id);
  [[nodiscard]] Result<PostgresLinks> links(const std::string& id);
  /// @errors also bad_data: the rows do not fit together
  [[nodiscard]] Result<PostgresReadings> readings(const std::string& id);
  /// Those that these digests name, as far as they are there.
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets(const std::vector<std::string>& sha256);
  /// Those whose digest begins so, at most two.
  /// @param begin  lower-case hex
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets_beginning(const std::string& begin);
  /// All of them, by first use.
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets();
  /// Names of the benches that have runs.
  [[nodiscard]] Result<std::vector<std::string>> benches();

 private:
  PostgresSession& session_;
};

/// What holds of the chosen runs in the views, by parameters 1 to 4 (bench, course, since, before);
/// an empty text chooses everything.
inline constexpr const char* chosen_sql =
    "($1 = '' OR bench = $1) AND ($2 = '' OR sheet_title = $2) "
    "AND ($3 = '' OR started_at >= nullif($3, '')::timestamptz) "
    "AND ($4 = '' OR started_at < nullif($4, '')::timestamptz)";
/// A time as such a parameter.
[[nodiscard]] std::string stamp_of(const std::optional<TimeUs>& wall_us);

/// A row with the ten columns of a run.
[[nodiscard]] PostgresRun run_in(const pqxx::row& row);

/// Numbers of an array as PostgreSQL writes it ("{1,2.5}").
/// @errors bad_data
[[nodiscard]] Result<std::vector<double>> doubles_of(std::string_view array);
[[nodiscard]] Result<std::vector<std::int64_t>> wholes_of(std::string_view array);

}  // namespace nestcup

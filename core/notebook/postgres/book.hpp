// A course's database as a book of runs: what reads a bench's store reads it, too.
#pragma once

#include <map>
#include <memory>
#include <string>
#include <vector>

#include "core/notebook/postgres/runs.hpp"
#include "core/store/run_book.hpp"

namespace nestcup {

/// A row as a book's run.
/// @errors bad_data: its number is beyond those of books
[[nodiscard]] Result<StoredRun> stored_run(const std::string& where, PostgresRun run);

/// Numbers of runs are those of the database. `runs` and `each_run` give those of the choice;
/// `find_run` finds any.
class PostgresBook : public RunBook {
 public:
  /// What `revisions` gives.
  enum class Revisions {
    all,         ///< those of the bench; then what was made anew of the last, by the same number
    of_benches,  ///< those of the bench
  };

  /// @errors bad_configuration: the address, or the tables; as PostgresSession
  [[nodiscard]] static Result<std::unique_ptr<PostgresBook>> open(const std::string& address,
                                                                  RunChoice choice = {},
                                                                  Revisions which = Revisions::all);
  /// The same with a password that settings name.
  /// @param go_on  false ends waiting for the server; asked by another thread, too
  [[nodiscard]] static Result<std::unique_ptr<PostgresBook>> open(
      const NotebookSettings& database, RunChoice choice, Revisions which = Revisions::all,
      std::function<bool()> go_on = [] { return true; });

  [[nodiscard]] const std::string& name() const override { return session_->where(); }
  [[nodiscard]] Result<std::vector<StoredRun>> runs() const override;
  [[nodiscard]] Result<void> each_run(
      const std::function<Result<void>(const StoredRun&)>& take) const override;
  [[nodiscard]] Result<StoredRun> find_run(const std::string& which) const override;
  [[nodiscard]] Result<std::vector<StoredRevision>> revisions(const std::string& id) const override;
  [[nodiscard]] Result<RoledReadings> readings_about(const StoredRun& run) const override;
  [[nodiscard]] Result<std::vector<StoredSheet>> sheets() const override;
  [[nodiscard]] Result<StoredSheet> find_sheet(const std::string& sha256_begin) const override;
  [[nodiscard]] Result<std::unique_ptr<RunBook>> reopened() const override;

  [[nodiscard]] PostgresSession& session() const { return *session_; }

 private:
  struct Way {
    NotebookSettings database;
    std::function<bool()> go_on;
  };
  PostgresBook(std::unique_ptr<PostgresSession> session, Way way, RunChoice choice,
               Revisions which);

  std::unique_ptr<PostgresSession> session_;
  Way way_;  ///< by which it was opened
  RunChoice choice_;
  Revisions which_;
  /// Sheets by their whole digests, which many runs name.
  mutable std::map<std::string, StoredSheet> known_sheets_;
};

}  // namespace nestcup

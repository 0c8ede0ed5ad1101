// Work over many runs of a database, shared by any number of machines. A worker takes a few tasks
// at a time on a lease; where it is killed they come free when the lease has run out. So a task may
// be done twice then, which harms nothing, and none is left out.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "core/notebook/postgres/runs.hpp"

namespace nestcup {

/// What came of a task.
struct DoneTask {
  std::string run;  ///< its id
  int of_revision = 0;
  std::string outcome;  ///< one word: "changed", "same", ...
  std::string said;     ///< why, or what is wrong; may be empty
  std::string record;   ///< made anew; empty where there is none
};

/// How far it is, over all workers.
struct TaskProgress {
  long long all = 0;
  long long done = 0;
  long long leased = 0;                           ///< by workers that have them still
  std::map<std::string, long long> by_outcome{};  ///< of those that are done
};

/// One list of tasks: those of a kind of work, by one version of the analysis. Calls come from one
/// thread; errors as PostgresSession, not_permitted where the user is no nestcup_worker.
class PostgresTasks {
 public:
  struct List {
    std::string kind;  ///< "recompute" or "verify"
    int analysis = 0;
  };

  /// @param worker   names who takes tasks: machine, process and thread
  /// @param lease_s  how long a task is a worker's own without being renewed, s
  PostgresTasks(PostgresSession& session, List list, std::string worker, int lease_s);

  /// Puts up the newest revisions of the chosen runs, as far as they are not there.
  [[nodiscard]] Result<void> put_up(const RunChoice& choice);
  /// Opens all again that are done; for one alone, before others take part.
  [[nodiscard]] Result<void> open_again();
  /// Takes at most `most` tasks that nobody has, with the records of the bench.
  [[nodiscard]] Result<std::vector<PostgresRun>> take(int most);
  /// Leases what this worker has for as long again.
  [[nodiscard]] Result<void> renew();
  /// Keeps what came of tasks: all of these, or none.
  [[nodiscard]] Result<void> put_down(const std::vector<DoneTask>& done, const std::string& who,
                                      TimeUs wall_us);
  [[nodiscard]] Result<TaskProgress> progress();
  /// Tasks with this outcome, with what was said; at most so many.
  [[nodiscard]] Result<std::vector<DoneTask>> with_outcome(const std::string& outcome, int most);

 private:
  PostgresSession& session_;
  List list_;
  std::string worker_;
  int lease_s_;
};

}  // namespace nestcup

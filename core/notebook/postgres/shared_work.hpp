// Workers of this machine at a list of tasks (task_list.hpp), beside any number of others.
#pragma once

#include <functional>
#include <string>

#include "core/notebook/postgres/book.hpp"
#include "core/notebook/postgres/task_list.hpp"

namespace nestcup {

inline constexpr int most_workers = 64;
inline constexpr int usual_lease_s = 60;

/// Does one task. An error ends all work here; what is wrong with a run alone is an outcome.
/// Several are done at once, each with a book of its own.
using TaskWork =
    std::function<Result<DoneTask>(const PostgresBook&, const StoredRun&, const PostgresRun&)>;

struct SharedWork {
  std::string address;
  PostgresTasks::List list;
  RunChoice choice;  ///< what is put up; workers also take what others did
  int workers = 1;   ///< 1 to most_workers
  int lease_s = usual_lease_s;
  bool again = false;  ///< also what is done already
  std::string who;     ///< by whom: what tasks and records are marked with
};

struct SharedOutcome {
  TaskProgress all;   ///< of all workers everywhere
  long long own = 0;  ///< tasks done here
  std::vector<DoneTask> wrong{};
};

/// Returns when all tasks of the list are done, wherever: what a worker that was killed had is done
/// here when its lease has run out.
/// @param wrong  the outcome whose tasks are given back, the first twenty
/// @param tell   is told now and then, in the calling thread
/// @errors as PostgresTasks and `work`; io: a thread cannot be started
[[nodiscard]] Result<SharedOutcome> share_work(
    const SharedWork& shared, const TaskWork& work, const std::string& wrong,
    const std::function<void(const TaskProgress&)>& tell);

}  // namespace nestcup

#include "core/notebook/postgres/task_list.hpp"

#include <fmt/format.h>

#include "core/notebook/postgres/rows.hpp"
#include "core/notebook/postgres/statement.hpp"

namespace nestcup {
namespace {

// "tasks" in ASCII. Two who put up at once would wait for each other's rows one by one.
constexpr long long put_up_lock = 0x7461736b73;

// Rows that another worker is just taking are passed over (SKIP LOCKED), not waited for. Runs are
// named twice, as rows and as an array: by the array they are looked up in the index even while the
// server does not know yet how many tasks there are, and would go through all of them otherwise.
constexpr const char* take_sql = R"sql(
WITH free AS (
  SELECT run, of_revision FROM nestcup.task
  WHERE kind = $1 AND analysis = $2 AND done_at IS NULL
    AND (lease_until IS NULL OR lease_until < now())
  ORDER BY kind, analysis, run, of_revision LIMIT $3
  FOR UPDATE SKIP LOCKED
), taken AS (
  UPDATE nestcup.task SET worker = $4, lease_until = now() + make_interval(secs => $5),
    attempts = attempts + 1
  FROM free WHERE kind = $1 AND analysis = $2 AND task.run = free.run
    AND task.of_revision = free.of_revision AND task.run = ANY (ARRAY(SELECT run FROM free))
  RETURNING task.run, task.of_revision
)
SELECT run.number, run.id::text, run.book, coalesce(revision.bench, ''), run.number_at_bench,
  run.first_us, run.last_us, revision.revision, revision.status, revision.record
FROM taken JOIN nestcup.run ON run.id = taken.run
JOIN nestcup.revision ON revision.run = taken.run AND revision.revision = taken.of_revision
ORDER BY run.id
)sql";

constexpr const char* renew_sql =
    "UPDATE nestcup.task SET lease_until = now() + make_interval(secs => $4) "
    "WHERE kind = $1 AND analysis = $2 AND worker = $3 AND done_at IS NULL";

constexpr const char* keep_sql =
    "INSERT INTO nestcup.recomputed (run, of_revision, analysis, record, why, who, wall_us) "
    "SELECT run::uuid, of_revision, $1, record, why, $2, $3 "
    "FROM unnest($4::text[], $5::integer[], $6::text[], $7::text[]) "
    "AS one (run, of_revision, record, why) ORDER BY run ON CONFLICT DO NOTHING";

constexpr const char* done_sql =
    "UPDATE nestcup.task SET done_at = now(), outcome = one.outcome, said = one.said, worker = $3 "
    "FROM unnest($4::text[], $5::integer[], $6::text[], $7::text[]) "
    "AS one (run, of_revision, outcome, said) "
    "WHERE kind = $1 AND analysis = $2 AND task.run = one.run::uuid "
    "AND task.of_revision = one.of_revision AND task.run = ANY ($4::text[]::uuid[]) "
    "AND done_at IS NULL";

template <class Text>
std::string column_of(const std::vector<DoneTask>& rows, const Text& text) {
  std::vector<std::string> elements;
  for (const DoneTask& row : rows) elements.push_back(text(row));
  return array_text(elements);
}

}  // namespace

PostgresTasks::PostgresTasks(PostgresSession& session, List list, std::string worker, int lease_s)
    : session_(session), list_(std::move(list)), worker_(std::move(worker)), lease_s_(lease_s) {}

Result<void> PostgresTasks::put_up(const RunChoice& choice) {
  const auto after = PostgresRuns(session_).number_before_last(choice);
  if (!after) return after.error();
  return session_.transact(
      [&](pqxx::work& transaction) -> Result<void> {
        transaction.exec(fmt::format("SELECT pg_advisory_xact_lock({})", put_up_lock));
        execute(
            transaction,
            fmt::format("INSERT INTO nestcup.task (kind, analysis, run, of_revision) "
                        "SELECT $6, $7, id, revision FROM nestcup.current_run WHERE {} AND number "
                        "> $5 ORDER BY id ON CONFLICT DO NOTHING",
                        chosen_sql),
            choice.bench.value_or(""), choice.course.value_or(""), stamp_of(choice.since_us),
            stamp_of(choice.before_us), *after, list_.kind, list_.analysis);
        return {};
      },
      PostgresPace::long_);
}

Result<void> PostgresTasks::open_again() {
  return session_.transact(
      [&](pqxx::work& transaction) -> Result<void> {
        execute(
            transaction,
            "UPDATE nestcup.task SET done_at = NULL, outcome = NULL, said = NULL, worker = NULL, "
            "lease_until = NULL WHERE kind = $1 AND analysis = $2 AND done_at IS NOT NULL",
            list_.kind, list_.analysis);
        return {};
      },
      PostgresPace::long_);
}

Result<std::vector<PostgresRun>> PostgresTasks::take(int most) {
  std::vector<PostgresRun> taken;
  const auto done = session_.transact([&](pqxx::work& transaction) -> Result<void> {
    taken.clear();
    const auto rows =
        execute(transaction, take_sql, list_.kind, list_.analysis, most, worker_, lease_s_);
    for (const auto& row : rows) taken.push_back(run_in(row));
    return {};
  });
  if (!done) return done.error();
  return taken;
}

Result<void> PostgresTasks::renew() {
  return session_.transact([&](pqxx::work& transaction) -> Result<void> {
    execute(transaction, renew_sql, list_.kind, list_.analysis, worker_, lease_s_);
    return {};
  });
}

Result<void> PostgresTasks::put_down(const std::vector<DoneTask>& done, const std::string& who,
                                     TimeUs wall_us) {
  std::vector<DoneTask> made;
  for (const DoneTask& one : done) {
    if (!one.record.empty()) made.push_back(one);
  }
  const auto run = [](const DoneTask& one) { return one.run; };
  const auto revision = [](const DoneTask& one) { return std::to_string(one.of_revision); };
  const auto said = [](const DoneTask& one) { return one.said; };
  return session_.transact([&](pqxx::work& transaction) -> Result<void> {
    if (!made.empty()) {
      execute(transaction, keep_sql, list_.analysis, who, wall_us, column_of(made, run),
              column_of(made, revision),
              column_of(made, [](const DoneTask& one) { return one.record; }),
              column_of(made, said));
    }
    execute(transaction, done_sql, list_.kind, list_.analysis, worker_, column_of(done, run),
            column_of(done, revision),
            column_of(done, [](const DoneTask& one) { return one.outcome; }),
            column_of(done, said));
    return {};
  });
}

Result<TaskProgress> PostgresTasks::progress() {
  TaskProgress progress;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    progress = {};
    const auto rows = execute(transaction,
                              "SELECT coalesce(outcome, ''), done_at IS NOT NULL, count(*), "
                              "count(*) FILTER (WHERE lease_until >= now()) FROM nestcup.task "
                              "WHERE kind = $1 AND analysis = $2 GROUP BY 1, 2",
                              list_.kind, list_.analysis);
    for (const auto& row : rows) {
      const auto count = row[2].as<long long>();
      progress.all += count;
      if (row[1].as<bool>()) {
        progress.done += count;
        progress.by_outcome[row[0].as<std::string>()] += count;
      } else {
        progress.leased += row[3].as<long long>();
      }
    }
    return {};
  });
  if (!looked) return looked.error();
  return progress;
}

Result<std::vector<DoneTask>> PostgresTasks::with_outcome(const std::string& outcome, int most) {
  std::vector<DoneTask> found;
  const auto looked = session_.look([&](pqxx::work& transaction) -> Result<void> {
    found.clear();
    const auto rows =
        execute(transaction,
                "SELECT run::text, of_revision, outcome, coalesce(said, '') FROM nestcup.task "
                "WHERE kind = $1 AND analysis = $2 AND outcome = $3 ORDER BY run LIMIT $4",
                list_.kind, list_.analysis, outcome, most);
    for (const auto& row : rows) {
      found.push_back({row[0].as<std::string>(), row[1].as<int>(), row[2].as<std::string>(),
                       row[3].as<std::string>(), ""});
    }
    return {};
  });
  if (!looked) return looked.error();
  return found;
}

}  // namespace nestcup

#include "core/store/outbox.hpp"

#include <algorithm>

#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

constexpr std::int64_t first_version_with_outbox = 4;

constexpr std::string_view select_owed = R"sql(
SELECT notebook.name, owed.link, run.number, run.id, link.revision, owed.state = 'blocked',
  owed.since_us, owed.attempts, owed.next_try_us, owed.reason
FROM notebook CROSS JOIN owed INDEXED BY owed_now ON owed.notebook = notebook.number
JOIN link ON link.number = owed.link
JOIN run ON run.number = link.run
WHERE owed.state <> 'carried' AND notebook.name = ? AND owed.link > ?
ORDER BY owed.link LIMIT ?
)sql";

OwedRevision owed_of(const Statement& row) {
  OwedRevision owed;
  owed.notebook = row.text(0);
  owed.link = static_cast<int>(row.whole(1));
  owed.run_number = static_cast<int>(row.whole(2));
  owed.run_id = row.text(3);
  owed.revision = static_cast<int>(row.whole(4));
  owed.blocked = row.whole(5) != 0;
  owed.since_us = row.whole(6);
  owed.attempts = static_cast<int>(row.whole(7));
  owed.next_try_us = row.whole(8);
  owed.reason = row.text(9);
  return owed;
}

/// Brings a notebook into use and owes it what it has not got.
Result<void> take_into_use(const Database& database, const std::string& name, TimeUs wall_us) {
  auto notebook = database.prepare(
      "INSERT INTO notebook (name, in_use) VALUES (?, 1) "
      "ON CONFLICT (name) DO UPDATE SET in_use = 1");
  if (!notebook) return notebook.error();
  if (auto used = notebook->bind(1, name).run(); !used) return used;
  auto backlog = database.prepare(
      "INSERT INTO owed (notebook, link, state, since_us, attempts, next_try_us, reason) "
      "SELECT notebook.number, link.number, 'owed', ?, 0, 0, '' FROM notebook, link "
      "WHERE notebook.name = ? AND link.number > "
      "(SELECT coalesce(max(link), 0) FROM owed WHERE owed.notebook = notebook.number) "
      "ON CONFLICT DO NOTHING");
  if (!backlog) return backlog.error();
  return backlog->bind(1, wall_us).bind(2, name).run();
}

}  // namespace

Result<std::vector<OwedRevision>> OutboxView::owed(const std::string& notebook, int after,
                                                   int limit) const {
  const auto there = store_.inner_->has_tables_of(first_version_with_outbox);
  if (!there) return there.error();
  std::vector<OwedRevision> found;
  if (!*there) return found;
  auto statement = store_.inner_->prepare(select_owed);
  if (!statement) return statement.error();
  statement->bind(1, notebook).bind(2, std::int64_t{after}).bind(3, std::int64_t{limit});
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return found;
    found.push_back(owed_of(*statement));
  }
}

Result<int> OutboxView::last_carried(const std::string& notebook) const {
  auto statement = store_.inner_->prepare(
      // From the end: max() would go through all that the notebook ever got.
      "SELECT link FROM owed WHERE notebook = (SELECT number FROM notebook WHERE name = ?) "
      "AND state = 'carried' ORDER BY link DESC LIMIT 1");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, notebook).step();
  if (!row) return row.error();
  return *row ? static_cast<int>(statement->whole(0)) : 0;
}

Result<int> OutboxView::waiting(const std::string& notebook) const {
  auto statement = store_.inner_->prepare(
      "SELECT count(*) FROM owed INDEXED BY owed_now WHERE state <> 'carried' AND state = 'owed' "
      "AND notebook = (SELECT number FROM notebook WHERE name = ?)");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, notebook).step();
  if (!row) return row.error();
  return static_cast<int>(statement->whole(0));
}

Result<bool> OutboxView::has_run(const std::string& notebook, int run_number) const {
  auto statement = store_.inner_->prepare(
      // CROSS JOIN: by the run's few links, not by all that the notebook ever got.
      "SELECT 1 FROM link CROSS JOIN owed ON owed.link = link.number WHERE owed.state = 'carried' "
      "AND link.run = ? AND owed.notebook = (SELECT number FROM notebook WHERE name = ?) LIMIT 1");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, std::int64_t{run_number}).bind(2, notebook).step();
  if (!row) return row.error();
  return *row;
}

Result<std::vector<NotebookCount>> OutboxView::counts() const {
  const auto there = store_.inner_->has_tables_of(first_version_with_outbox);
  if (!there) return there.error();
  std::vector<NotebookCount> found;
  if (!*there) return found;
  auto statement = store_.inner_->prepare(
      "SELECT name, in_use, coalesce(sum(state = 'carried'), 0), coalesce(sum(state = 'owed'), 0), "
      "coalesce(sum(state = 'blocked'), 0) FROM notebook "
      "LEFT JOIN owed ON owed.notebook = notebook.number GROUP BY number ORDER BY number");
  if (!statement) return statement.error();
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return found;
    found.push_back({statement->text(0), statement->whole(1) != 0,
                     static_cast<int>(statement->whole(2)), static_cast<int>(statement->whole(3)),
                     static_cast<int>(statement->whole(4))});
  }
}

Result<void> Outbox::use_notebooks(std::span<const std::string> names, TimeUs wall_us) {
  const auto database = store_.inner_->writable();
  if (!database) return database.error();
  return (*database)->in_transaction([&]() -> Result<void> {
    if (auto out = (*database)->run("UPDATE notebook SET in_use = 0"); !out) return out;
    for (const std::string& name : names) {
      if (auto used = take_into_use(**database, name, wall_us); !used) return used;
    }
    return {};
  });
}

Result<int> Outbox::change(std::string_view sql, const std::function<void(Statement&)>& bind) {
  const auto database = store_.inner_->writable();
  if (!database) return database.error();
  int changed = 0;
  const auto done = (*database)->in_transaction([&]() -> Result<void> {
    auto statement = (*database)->prepare(sql);
    if (!statement) return statement.error();
    bind(*statement);
    if (auto run = statement->run(); !run) return run;
    changed = static_cast<int>((*database)->changed());
    return {};
  });
  if (!done) return done.error();
  return changed;
}

Result<void> Outbox::carried(const OwedRevision& revision, TimeUs wall_us) {
  const auto changed = change(
      "UPDATE owed SET state = 'carried', carried_us = ?, reason = '' WHERE link = ? AND "
      "state <> 'carried' AND notebook = (SELECT number FROM notebook WHERE name = ?)",
      [&](Statement& statement) {
        statement.bind(1, wall_us).bind(2, std::int64_t{revision.link}).bind(3, revision.notebook);
      });
  if (!changed) return changed.error();
  return {};
}

Result<void> Outbox::failed(const OwedRevision& revision, const FailedAttempt& attempt) {
  const auto changed = change(
      "UPDATE owed SET state = ?, attempts = attempts + 1, next_try_us = ?, reason = ? "
      "WHERE link = ? AND state <> 'carried' AND "
      "notebook = (SELECT number FROM notebook WHERE name = ?)",
      [&](Statement& statement) {
        statement.bind(1, std::string_view(attempt.blocked ? "blocked" : "owed"));
        statement.bind(2, attempt.next_try_us).bind(3, attempt.reason);
        statement.bind(4, std::int64_t{revision.link}).bind(5, revision.notebook);
      });
  if (!changed) return changed.error();
  return {};
}

Result<int> Outbox::try_again(const std::string& notebook) {
  return change(
      "UPDATE owed SET state = 'owed', next_try_us = 0 WHERE state <> 'carried' AND "
      "notebook = (SELECT number FROM notebook WHERE name = ?)",
      [&](Statement& statement) { statement.bind(1, notebook); });
}

}  // namespace nestcup

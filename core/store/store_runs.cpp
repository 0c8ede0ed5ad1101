// Finished runs of a store and the revisions of their records.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "core/base/nearest.hpp"
#include "core/store/chain_rows.hpp"
#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

constexpr std::size_t shortest_id_end = 4;

constexpr std::string_view select_runs =
    "SELECT run.number, run.id, run.first_us, run.last_us, run.revision, run.status, "
    "run_record.record_json FROM run JOIN run_record "
    "ON run_record.run = run.number AND run_record.revision = run.revision ";

StoredRun run_of(const Statement& row) {
  StoredRun run;
  run.number = static_cast<int>(row.whole(0));
  run.id = row.text(1);
  run.first_us = row.whole(2);
  run.last_us = row.whole(3);
  run.revision = static_cast<int>(row.whole(4));
  run.status = row.text(5);
  run.record_json = row.text(6);
  return run;
}

Result<std::vector<StoredRun>> all_runs(Statement& statement) {
  std::vector<StoredRun> runs;
  for (auto row = statement.step();; row = statement.step()) {
    if (!row) return row.error();
    if (!*row) return runs;
    runs.push_back(run_of(statement));
  }
}

Result<void> insert_record(const Database& database, std::int64_t number, int revision,
                           const std::string& record_json, const RevisionNote& note) {
  auto statement = database.prepare(
      "INSERT INTO run_record (run, revision, action, reason, who, wall_us, record_json) "
      "VALUES (?, ?, ?, ?, ?, ?, ?)");
  if (!statement) return statement.error();
  statement->bind(1, number).bind(2, std::int64_t{revision}).bind(3, note.action);
  statement->bind(4, note.reason).bind(5, note.who).bind(6, note.wall_us).bind(7, record_json);
  if (auto inserted = statement->run(); !inserted) return inserted;
  return append_link(database, number, revision, record_json, note.wall_us);
}

Result<void> insert_run(const Database& database, int number, const StoredRun& run) {
  auto statement = database.prepare(
      "INSERT INTO run (number, id, first_us, last_us, revision, status) "
      "VALUES (?, ?, ?, ?, 1, ?)");
  if (!statement) return statement.error();
  statement->bind(1, std::int64_t{number}).bind(2, run.id).bind(3, run.first_us);
  statement->bind(4, run.last_us).bind(5, run.status);
  return statement->run();
}

/// Number of the run with this id or this first reading; 0 where there is none.
Result<int> number_of(const Database& database, const StoredRun& run) {
  auto statement = database.prepare("SELECT number FROM run WHERE id = ? OR first_us = ?");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, run.id).bind(2, run.first_us).step();
  if (!row) return row.error();
  return *row ? static_cast<int>(statement->whole(0)) : 0;
}

/// The number for a new run: its own where that is free, else the next.
Result<int> new_number(const Database& database, int wanted) {
  const auto last = database.whole_answer("SELECT max(number) FROM run");
  if (!last) return last.error();
  if (wanted < 1) return static_cast<int>(*last) + 1;
  auto statement = database.prepare("SELECT 1 FROM run WHERE number = ?");
  if (!statement) return statement.error();
  const auto taken = statement->bind(1, std::int64_t{wanted}).step();
  if (!taken) return taken.error();
  return *taken ? static_cast<int>(*last) + 1 : wanted;
}

struct Head {
  std::int64_t number = 0;
  std::int64_t revision = 0;
};

Error no_such_run(const std::string& path, const std::string& which, std::string_view advice) {
  return {Fault::no_input, fmt::format("{}: has no run \"{}\"; {}", path, which, advice)};
}

Result<Head> head_of(const Database& database, const std::string& id) {
  auto statement = database.prepare("SELECT number, revision FROM run WHERE id = ?");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, id).step();
  if (!row) return row.error();
  if (!*row) return no_such_run(database.path(), id, "expected the full id of one of its runs");
  return Head{statement->whole(0), statement->whole(1)};
}

Result<void> set_head(const Database& database, std::int64_t number, int revision,
                      const std::string& status) {
  auto statement = database.prepare("UPDATE run SET revision = ?, status = ? WHERE number = ?");
  if (!statement) return statement.error();
  return statement->bind(1, std::int64_t{revision}).bind(2, status).bind(3, number).run();
}

/// The whole of `text` as a positive number.
std::optional<int> run_number(const std::string& text) {
  int number = 0;
  const char* const end = text.data() + text.size();
  const auto [stop, fault] = std::from_chars(text.data(), end, number);
  if (fault != std::errc{} || stop != end || number < 1) return std::nullopt;
  return number;
}

/// What to try instead of a run that is not there.
Result<std::string> advice_for(const Database& database, const std::string& which) {
  auto statement = database.prepare("SELECT number, id FROM run ORDER BY number");
  if (!statement) return statement.error();
  std::vector<std::string> names;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) break;
    names.push_back(std::to_string(statement->whole(0)));
    const std::string id = statement->text(1);
    names.push_back(id);
    if (which.size() < id.size()) names.push_back(id.substr(id.size() - which.size()));
  }
  if (names.empty()) return std::string("it has no runs yet");
  if (const auto meant = nearest(which, names)) return fmt::format("did you mean {}?", *meant);
  return std::string("expected a run's number, its id, or the last characters of its id");
}

Error ambiguous(const std::string& path, const std::string& which,
                const std::vector<StoredRun>& runs) {
  std::string numbers;
  for (const StoredRun& run : runs) {
    numbers += fmt::format("{}{}", numbers.empty() ? "" : ", ", run.number);
  }
  return {Fault::usage, fmt::format("{}: \"{}\" is the end of several runs' ids ({}); give more "
                                    "characters, or the number",
                                    path, which, numbers)};
}

}  // namespace

std::string lower_case(std::string text) {
  for (char& c : text) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return text;
}

Result<int> Store::add_run(const StoredRun& run, const RevisionNote& note) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  int number = 0;
  const auto done = (*database)->in_transaction([&]() -> Result<void> {
    const auto known = number_of(**database, run);
    if (!known) return known.error();
    number = *known;
    if (number != 0) return {};
    const auto fresh = new_number(**database, run.number);
    if (!fresh) return fresh.error();
    number = *fresh;
    if (auto stored = insert_run(**database, number, run); !stored) return stored;
    return insert_record(**database, number, 1, run.record_json, note);
  });
  if (!done) return done.error();
  return number;
}

Result<void> Store::add_revision(const std::string& id, int expected_revision,
                                 const std::string& status, const std::string& record_json,
                                 const RevisionNote& note) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  return (*database)->in_transaction([&]() -> Result<void> {
    const auto head = head_of(**database, id);
    if (!head) return head.error();
    if (head->revision != expected_revision) {
      return Error{
          Fault::try_later,
          fmt::format("{}: run {} has revision {} now, not {}; look at it again and repeat",
                      inner_->path, head->number, head->revision, expected_revision)};
    }
    const int revision = expected_revision + 1;
    auto stored = insert_record(**database, head->number, revision, record_json, note);
    if (!stored) return stored;
    return set_head(**database, head->number, revision, status);
  });
}

Result<std::vector<StoredRun>> Store::runs() const {
  auto statement = inner_->prepare(fmt::format("{} ORDER BY run.number", select_runs));
  if (!statement) return statement.error();
  return all_runs(*statement);
}

Result<std::vector<StoredRun>> Store::runs_below(int before, int most) const {
  auto statement = inner_->prepare(
      fmt::format("{} WHERE run.number < ? ORDER BY run.number DESC LIMIT ?", select_runs));
  if (!statement) return statement.error();
  auto runs = all_runs(statement->bind(1, std::int64_t{before}).bind(2, std::int64_t{most}));
  if (runs) std::ranges::reverse(*runs);
  return runs;
}

Result<std::vector<StoredRun>> Store::runs_between(TimeUs from_us, TimeUs to_us) const {
  auto statement = inner_->prepare(fmt::format(
      "{} WHERE run.first_us >= ? AND run.first_us < ? ORDER BY run.first_us", select_runs));
  if (!statement) return statement.error();
  return all_runs(statement->bind(1, from_us).bind(2, to_us));
}

Result<StoredRun> Store::find_run(const std::string& which) const {
  const auto number = run_number(which);
  if (number) {
    auto statement = inner_->prepare(fmt::format("{} WHERE run.number = ?", select_runs));
    if (!statement) return statement.error();
    auto runs = all_runs(statement->bind(1, std::int64_t{*number}));
    if (!runs) return runs.error();
    if (!runs->empty()) return std::move(runs->front());
  }
  const std::string id_end = lower_case(which);
  // A full id, by the index: its end alone would be looked for in every row.
  auto whole = inner_->prepare(fmt::format("{} WHERE run.id = ?", select_runs));
  if (!whole) return whole.error();
  auto same = all_runs(whole->bind(1, id_end));
  if (!same) return same.error();
  if (!same->empty()) return std::move(same->front());
  if (id_end.size() >= shortest_id_end) {
    auto statement = inner_->prepare(
        fmt::format("{} WHERE substr(run.id, -?1) = ?2 ORDER BY run.number", select_runs));
    if (!statement) return statement.error();
    statement->bind(1, static_cast<std::int64_t>(id_end.size())).bind(2, id_end);
    auto runs = all_runs(*statement);
    if (!runs) return runs.error();
    if (runs->size() > 1) return ambiguous(inner_->path, which, *runs);
    if (!runs->empty()) return std::move(runs->front());
  }
  const auto database = inner_->database();
  if (!database) return database.error();
  const auto advice = advice_for(**database, id_end);
  if (!advice) return advice.error();
  return no_such_run(inner_->path, which, *advice);
}

Result<std::vector<StoredRevision>> Store::revisions(const std::string& id) const {
  auto statement = inner_->prepare(
      "SELECT run_record.revision, action, reason, who, wall_us, record_json FROM run_record "
      "JOIN run ON run.number = run_record.run WHERE run.id = ? ORDER BY run_record.revision");
  if (!statement) return statement.error();
  statement->bind(1, id);
  std::vector<StoredRevision> found;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) return found;
    StoredRevision revision;
    revision.revision = static_cast<int>(statement->whole(0));
    revision.note = {statement->text(1), statement->text(2), statement->text(3),
                     statement->whole(4)};
    revision.record_json = statement->text(5);
    found.push_back(std::move(revision));
  }
}

Result<std::optional<RunSpan>> Store::last_run_span() const {
  auto statement = inner_->prepare(
      "WITH last AS (SELECT first_us, last_us FROM run "
      "ORDER BY last_us DESC, number DESC LIMIT 1), "
      "former AS (SELECT max(run.last_us) AS end_us FROM run, last "
      "WHERE run.last_us < last.last_us) "
      "SELECT first_us, last_us, end_us IS NOT NULL AND NOT EXISTS (SELECT 1 FROM reading "
      "JOIN probe ON probe.id = probe WHERE role = 'cup' AND time_us > end_us "
      "AND time_us < first_us) FROM last, former");
  if (!statement) return statement.error();
  const auto row = statement->step();
  if (!row) return row.error();
  if (!*row) return std::optional<RunSpan>{};
  return std::optional(RunSpan{statement->whole(0), statement->whole(1), statement->whole(2) != 0});
}

}  // namespace nestcup

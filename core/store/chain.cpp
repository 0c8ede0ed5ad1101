#include "core/store/chain.hpp"

#include <fmt/format.h>

#include <chrono>
#include <nlohmann/json.hpp>

#include "core/base/canonical_json.hpp"
#include "core/base/digest.hpp"
#include "core/base/run_id.hpp"
#include "core/store/chain_rows.hpp"
#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

constexpr std::int64_t first_version_with_chain = 4;

Result<ChainHead> head_in(const Database& database) {
  auto statement = database.prepare("SELECT book, links, last_sha256 FROM chain");
  if (!statement) return statement.error();
  const auto row = statement->step();
  if (!row) return row.error();
  if (!*row) return ChainHead{};
  return ChainHead{statement->text(0), static_cast<int>(statement->whole(1)), statement->text(2)};
}

Result<void> insert_link(const Database& database, std::int64_t run_number, const ChainLink& link) {
  auto statement = database.prepare(
      "INSERT INTO link (number, run, revision, record_sha256, sha256) VALUES (?, ?, ?, ?, ?)");
  if (!statement) return statement.error();
  statement->bind(1, std::int64_t{link.number}).bind(2, run_number);
  statement->bind(3, std::int64_t{link.revision}).bind(4, link.record_sha256).bind(5, link.sha256);
  return statement->run();
}

Result<void> move_head(const Database& database, const ChainLink& link) {
  auto statement = database.prepare("UPDATE chain SET links = ?, last_sha256 = ?");
  if (!statement) return statement.error();
  return statement->bind(1, std::int64_t{link.number}).bind(2, link.sha256).run();
}

Result<void> owe_to_all(const Database& database, int link, std::int64_t wall_us) {
  auto statement = database.prepare(
      "INSERT INTO owed (notebook, link, state, since_us, attempts, next_try_us, reason) "
      "SELECT number, ?, 'owed', ?, 0, 0, '' FROM notebook WHERE in_use = 1");
  if (!statement) return statement.error();
  return statement->bind(1, std::int64_t{link}).bind(2, wall_us).run();
}

Result<std::string> id_of_run(const Database& database, std::int64_t run_number) {
  auto statement = database.prepare("SELECT id FROM run WHERE number = ?");
  if (!statement) return statement.error();
  const auto row = statement->bind(1, run_number).step();
  if (!row) return row.error();
  return statement->text(0);
}

constexpr std::string_view select_links =
    "SELECT link.number, run.id, link.revision, link.record_sha256, link.sha256 FROM link "
    "JOIN run ON run.number = link.run ";

Result<std::vector<ChainLink>> links_of(Statement& statement) {
  std::vector<ChainLink> links;
  for (auto row = statement.step();; row = statement.step()) {
    if (!row) return row.error();
    if (!*row) return links;
    links.push_back({static_cast<int>(statement.whole(0)), statement.text(1),
                     static_cast<int>(statement.whole(2)), statement.text(3), statement.text(4)});
  }
}

}  // namespace

Result<std::string> record_sha256(std::string_view record_json) {
  const auto canonical = canonical_json(record_json);
  if (!canonical) return canonical.error();
  return sha256_hex(*canonical);
}

std::string link_sha256(const std::string& book, const ChainLink& link,
                        const std::string& previous_sha256) {
  const nlohmann::ordered_json said{{"book", book},
                                    {"link", link.number},
                                    {"previous", previous_sha256},
                                    {"record", link.record_sha256},
                                    {"revision", link.revision},
                                    {"run", link.run_id}};
  return sha256_hex(canonical_json(said).value());
}

Result<void> append_link(const Database& database, std::int64_t run_number, int revision,
                         const std::string& record_json, std::int64_t wall_us) {
  const auto head = head_in(database);
  if (!head) return head.error();
  const auto run_id = id_of_run(database, run_number);
  if (!run_id) return run_id.error();
  const auto digest = record_sha256(record_json);
  if (!digest) return digest.error();
  ChainLink link{head->links + 1, *run_id, revision, *digest, ""};
  link.sha256 = link_sha256(head->book, link, head->last_sha256);
  if (auto stored = insert_link(database, run_number, link); !stored) return stored;
  if (auto moved = move_head(database, link); !moved) return moved;
  return owe_to_all(database, link.number, wall_us);
}

Result<void> begin_chain(const Database& database) {
  auto first = database.prepare(
      "INSERT INTO chain (id, book, links, last_sha256) "
      "VALUES (1, ?, 0, '')");
  if (!first) return first.error();
  const auto now_us = std::chrono::duration_cast<std::chrono::microseconds>(
      std::chrono::system_clock::now().time_since_epoch());
  if (auto begun = first->bind(1, new_run_id(now_us.count())).run(); !begun) return begun;
  auto records =
      database.prepare("SELECT run, revision, record_json, wall_us FROM run_record ORDER BY rowid");
  if (!records) return records.error();
  for (auto row = records->step();; row = records->step()) {
    if (!row) return row.error();
    if (!*row) return {};
    auto linked = append_link(database, records->whole(0), static_cast<int>(records->whole(1)),
                              records->text(2), records->whole(3));
    if (!linked) return linked;
  }
}

Result<ChainHead> Chain::head() const {
  const auto there = store_.inner_->has_tables_of(first_version_with_chain);
  if (!there) return there.error();
  if (!*there) return ChainHead{};
  const auto database = store_.inner_->database();
  if (!database) return database.error();
  return head_in(**database);
}

Result<std::vector<ChainLink>> Chain::links(int first, int last) const {
  auto statement = store_.inner_->prepare(
      fmt::format("{} WHERE link.number BETWEEN ? AND ? ORDER BY link.number", select_links));
  if (!statement) return statement.error();
  return links_of(statement->bind(1, std::int64_t{first}).bind(2, std::int64_t{last}));
}

Result<std::optional<ChainLink>> Chain::link_of(const std::string& run_id, int revision) const {
  auto statement = store_.inner_->prepare(
      fmt::format("{} WHERE run.id = ? AND link.revision = ?", select_links));
  if (!statement) return statement.error();
  auto links = links_of(statement->bind(1, run_id).bind(2, std::int64_t{revision}));
  if (!links) return links.error();
  if (links->empty()) return std::optional<ChainLink>{};
  return std::optional<ChainLink>{std::move(links->front())};
}

Result<void> Chain::at_one_moment(const std::function<Result<void>()>& work) const {
  const auto database = store_.inner_->database();
  if (!database) return database.error();
  if (auto begun = (*database)->run("BEGIN"); !begun) return begun;
  const Result<void> outcome = work();
  const Result<void> ended = (*database)->run("COMMIT");
  return outcome ? ended : outcome;
}

Result<void> take_over_chain(Store& store, const std::string& book) {
  const auto database = store.inner_->writable();
  if (!database) return database.error();
  return (*database)->in_transaction([&]() -> Result<void> {
    const auto head = head_in(**database);
    if (!head) return head.error();
    if (head->links != 0) {
      return Error{Fault::usage, fmt::format("{}: has runs of its own, so that it keeps its own "
                                             "chain of records",
                                             store.path())};
    }
    auto statement = (*database)->prepare("UPDATE chain SET book = ?");
    if (!statement) return statement.error();
    return statement->bind(1, book).run();
  });
}

}  // namespace nestcup

#include "core/store/store.hpp"

#include <fmt/format.h>

#include "core/store/store_file.hpp"
#include "core/store/store_inner.hpp"

namespace nestcup {

Result<void> Store::Inner::reopen() {
  adding.reset();
  if (connection) connection->checkpoint_on_close(false);
  connection.reset();
  auto fresh = open_for_writing(path);
  if (!fresh) return fresh.error();
  // A commit whose sync failed can be in the log as the kernel remembers it, but not on the disk,
  // and repeating it would find its rows and write nothing. Moving the log writes and syncs all of
  // it once more.
  if (auto moved = move_log(*fresh, true); !moved) {
    fresh->checkpoint_on_close(false);
    return moved.error();
  }
  connection = std::move(fresh).value();
  return {};
}

Result<Database*> Store::Inner::database() {
  if (mode == StoreMode::write && (!connection || connection->failed_at_file())) {
    if (auto reopened = reopen(); !reopened) return reopened.error();
  }
  return &*connection;
}

Result<Database*> Store::Inner::writable() {
  if (mode == StoreMode::read) {
    return Error{Fault::usage, fmt::format("{}: was opened for reading only", path)};
  }
  return database();
}

Result<bool> Store::Inner::has_tables_of(std::int64_t version) {
  const auto opened = database();
  if (!opened) return opened.error();
  const auto own = (*opened)->whole_answer("PRAGMA user_version");
  if (!own) return own.error();
  return *own >= version;
}

Result<Statement> Store::Inner::prepare(std::string_view sql) {
  const auto opened = database();
  if (!opened) return opened.error();
  return (*opened)->prepare(sql);
}

Store::Store(std::unique_ptr<Inner> inner) : inner_(std::move(inner)) {}
Store::Store(Store&&) noexcept = default;
Store& Store::operator=(Store&&) noexcept = default;
Store::~Store() = default;

Result<Store> Store::open(const std::string& path, StoreMode mode) {
  auto database = mode == StoreMode::write ? open_for_writing(path) : open_for_reading(path);
  if (!database) return database.error();
  return Store(std::make_unique<Inner>(mode, std::move(database).value()));
}

const std::string& Store::path() const {
  return inner_->path;
}

Result<Store::Checkpoint> Store::checkpoint(bool truncate) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  return move_log(**database, truncate);
}

Result<std::vector<std::string>> Store::integrity_problems() const {
  const auto database = inner_->database();
  if (!database) return database.error();
  return (*database)->problems("PRAGMA integrity_check");
}

Result<void> Store::add_session(const StoredSession& session) {
  const auto database = inner_->writable();
  if (!database) return database.error();
  return (*database)->in_transaction([&]() -> Result<void> {
    auto statement = (*database)->prepare(
        "INSERT INTO session (boot_id, machine_us, axis_us, wall_us, speed, clock_synchronised) "
        "VALUES (?, ?, ?, ?, ?, ?)");
    if (!statement) return statement.error();
    statement->bind(1, session.boot_id).bind(2, session.machine_us).bind(3, session.axis_us);
    statement->bind(4, session.wall_us).bind(5, session.speed).bind_null(6);
    if (session.clock_synchronised) {
      statement->bind(6, std::int64_t{*session.clock_synchronised ? 1 : 0});
    }
    return statement->run();
  });
}

Result<std::optional<StoredSession>> Store::last_session() const {
  auto statement = inner_->prepare(
      "SELECT boot_id, machine_us, axis_us, wall_us, speed, clock_synchronised FROM session "
      "ORDER BY id DESC LIMIT 1");
  if (!statement) return statement.error();
  const auto row = statement->step();
  if (!row) return row.error();
  if (!*row) return std::optional<StoredSession>{};
  StoredSession session;
  session.boot_id = statement->text(0);
  session.machine_us = statement->whole(1);
  session.axis_us = statement->whole(2);
  session.wall_us = statement->whole(3);
  session.speed = statement->number(4);
  if (!statement->is_null(5)) session.clock_synchronised = statement->whole(5) != 0;
  return std::optional<StoredSession>{std::move(session)};
}

Result<std::unique_ptr<RunBook>> Store::reopened() const {
  auto again = open(path(), StoreMode::read);
  if (!again) return again.error();
  return std::unique_ptr<RunBook>(std::make_unique<Store>(std::move(*again)));
}

}  // namespace nestcup

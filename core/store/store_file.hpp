// Opening a store's file. Internal to the room.
#pragma once

#include <string>

#include "core/store/database.hpp"
#include "core/store/store.hpp"

namespace nestcup {

/// The one connection that writes: makes the file where there is none, brings its tables up to
/// date, and answers for durability: every commit is on the disk when it returns. The write-ahead
/// log moves into the file only by move_log, since automatic moves fail silently.
[[nodiscard]] Result<Database> open_for_writing(const std::string& path);

/// A connection that leaves the file as it is. SQLite may put its -shm and -wal files beside it;
/// where there is no room for them, and nobody else has the store open, it keeps the index of the
/// log in memory and everybody else away.
[[nodiscard]] Result<Database> open_for_reading(const std::string& path);

/// The same for a file that nobody writes: nothing is made beside it, and no lock is asked for.
[[nodiscard]] Result<Database> open_unchanging(const std::string& path);

/// `path` as SQLite's file: address with this parameter ("immutable=1").
[[nodiscard]] std::string file_address(const std::string& path, std::string_view parameter);

/// What PRAGMA auto_vacuum answers for a file that can give free pages back bit by bit.
inline constexpr std::int64_t incremental_vacuum = 2;

/// Moves the write-ahead log into the file.
/// @param truncate  wait for readers, move everything and cut the log to nothing
[[nodiscard]] Result<Store::Checkpoint> move_log(Database& database, bool truncate);

}  // namespace nestcup

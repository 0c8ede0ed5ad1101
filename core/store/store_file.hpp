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

/// Moves the write-ahead log into the file.
/// @param truncate  wait for readers, move everything and cut the log to nothing
[[nodiscard]] Result<Store::Checkpoint> move_log(Database& database, bool truncate);

}  // namespace nestcup

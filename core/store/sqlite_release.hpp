// What is known of the SQLite that the program runs with.
#pragma once

#include <string>

namespace nestcup {

/// The version as people write it ("3.40.1"), of the library in use.
[[nodiscard]] std::string sqlite_version();
/// The same as SQLite counts: 3'040'001 for 3.40.1 (https://www.sqlite.org/c3ref/c_source_id.html).
[[nodiscard]] int sqlite_version_number();

/// Whether a version can lose pages that were committed, when two connections write and move the
/// write-ahead log at the same instant ("WAL-reset bug"). In every version with a write-ahead log
/// up to 3.51.2, mended in 3.51.3 and, later, in 3.44.6 and 3.50.7
/// (https://www.sqlite.org/releaselog/3_51_3.html, https://www.sqlite.org/wal.html, section 11).
/// A store has one connection alone that writes or moves the log, so that it cannot happen there.
[[nodiscard]] bool has_wal_reset_race(int version_number);
/// What to say of the library in use where it has the race.
[[nodiscard]] std::string wal_reset_race_note();

}  // namespace nestcup

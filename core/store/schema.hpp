// The tables of a store and how older stores get them. Internal to the room.
#pragma once

#include "core/store/database.hpp"

namespace nestcup {

/// Marks a file as a store (SQLite's application_id, big-endian at byte 68): "ncup".
inline constexpr std::int64_t store_application_id = 0x6E637570;

/// Version of the tables that this program makes and understands (SQLite's user_version).
[[nodiscard]] std::int64_t newest_schema();

/// Refuses a store that a newer program made.
/// @errors bad_data
[[nodiscard]] Result<void> check_schema(const Database& database);

/// Brings the tables to the newest version, each step in one transaction together with its number.
[[nodiscard]] Result<void> migrate(Database& database);

}  // namespace nestcup

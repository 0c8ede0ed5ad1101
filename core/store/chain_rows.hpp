// Rows of the tables chain and link. Internal to the room.
#pragma once

#include <string>

#include "core/store/database.hpp"

namespace nestcup {

/// Begins the chain of a store, with the records that are there already in the order in which they
/// were stored. Part of a migration.
[[nodiscard]] Result<void> begin_chain(const Database& database);

/// Puts a record that was just stored at the chain's end, and owes it to every notebook in use.
/// Part of the transaction that stores it.
/// @param run_number  of its row
/// @param wall_us     Unix time
[[nodiscard]] Result<void> append_link(const Database& database, std::int64_t run_number,
                                       int revision, const std::string& record_json,
                                       std::int64_t wall_us);

}  // namespace nestcup

// Whether a database has nestcup's tables, and bringing it there.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/notebook/postgres/session.hpp"

namespace nestcup {

/// What a database is like.
struct PostgresState {
  std::string server;  ///< its version: "15.18"
  std::string database;
  std::string user;            ///< as whom this was found out
  std::optional<int> version;  ///< of nestcup's tables; nothing: there are none
  bool may_read = false;       ///< rights of that user
  bool may_add = false;
  bool may_change = false;  ///< could update or delete what is there
  long long runs = 0;
  long long benches = 0;
  std::string newest_run_at;  ///< when a run last arrived, RFC 3339; empty: never
  std::string size;           ///< of the tables in words: "12 MB"
};

/// @errors as PostgresSession
[[nodiscard]] Result<PostgresState> postgres_state(PostgresSession& session);

/// Holds that runs can be carried to and read from the database by this program.
/// @errors bad_configuration: no tables, older or newer ones; each says what to do
[[nodiscard]] Result<void> check_postgres(PostgresSession& session);

/// The statements that would bring a database from a version to this program's.
/// @param from  0: there is nothing yet
[[nodiscard]] std::string prepare_sql(int from);

/// Makes or brings up to date schema, tables and group roles; each step whole or not at all, under
/// a lock that two who prepare at once cannot hold both.
/// @return the version that was there before; 0 for none
/// @errors bad_configuration: the tables are of a newer version, or the database is not in UTF-8;
///         not_permitted: the user may not do that
[[nodiscard]] Result<int> prepare_postgres(PostgresSession& session);

}  // namespace nestcup

// The tables of a course's database, as steps that are never changed once they were published: a
// database of an earlier version gets those that it has not got, in order.
#pragma once

#include <string>
#include <vector>

namespace nestcup {

struct Migration {
  int version = 0;
  std::string about;  ///< what it brings, in words
  std::string sql;
};

/// All of them, by version 1, 2, 3 ...; everything lies in the schema `nestcup`.
[[nodiscard]] const std::vector<Migration>& migrations();

/// The version that this program carries to and reads from.
[[nodiscard]] int newest_version();

/// SQL that makes the group roles where they are not there; roles belong to a whole server.
[[nodiscard]] const std::string& roles_sql();

}  // namespace nestcup

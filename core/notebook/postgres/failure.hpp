// What a database's error means for whoever carries runs there: in words, and whether to try again.
#pragma once

#include <exception>
#include <string>

#include "core/base/result.hpp"

namespace nestcup {

struct PostgresFailure {
  Error error;
  bool again =
      false;  ///< the same may work at once: a deadlock, a serialization failure, a lost way
  bool lost = false;  ///< the connection is of no use any more
};

/// By its SQLSTATE (PostgreSQL 15 documentation, appendix A).
/// @param where     the database's address
/// @param sqlstate  five characters; may be empty
/// @param message   the server's own words
[[nodiscard]] PostgresFailure failure_of_state(const std::string& where,
                                               const std::string& sqlstate,
                                               const std::string& message);

/// A connection that could not be made. libpq gives no SQLSTATE here, so that the kind comes from
/// its English words where they are known, and is `unavailable` otherwise.
[[nodiscard]] Error connect_error(const std::string& where, const std::string& message);

/// Of what libpqxx threw, whatever it is.
[[nodiscard]] PostgresFailure failure_of(const std::string& where, std::exception_ptr thrown);

}  // namespace nestcup

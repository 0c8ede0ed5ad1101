// Where a course's database is:
// "postgres://bench4@db.school.example:5432/course?sslmode=verify-full".
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

/// A checked address. It never holds a password, so that it can stand in messages, in the outbox
/// and in lists of processes.
class PostgresAddress {
 public:
  /// @errors bad_configuration: no address of a database, or one with a password in it; the text
  ///         then does not repeat the address
  [[nodiscard]] static Result<PostgresAddress> parse(const std::string& written);

  /// As it was written.
  [[nodiscard]] const std::string& text() const { return text_; }
  /// What libpq is told: the address's own words, and what holds where it says nothing. A server
  /// that is not on this machine must prove its name ("verify-full"); a silent one is given up.
  /// @param password  empty: libpq looks into its own places (PGPASSFILE, ~/.pgpass)
  [[nodiscard]] std::string options(const std::string& password) const;

 private:
  std::string text_;
  std::vector<std::pair<std::string, std::string>> words_;  ///< libpq's keywords and values
};

/// Whether a text is meant as such an address ("postgres://", "postgresql://").
[[nodiscard]] bool is_postgres_address(std::string_view text);

}  // namespace nestcup

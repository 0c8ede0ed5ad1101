// What a Store holds. Internal to the room.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/store/database.hpp"
#include "core/store/store.hpp"

namespace nestcup {

struct Store::Inner {
  /// Compiled once, since they run several times a second.
  struct Adding {
    Statement reading;
    Statement readings;  ///< many at once
    Statement event;
    Statement total;
  };

  Inner(StoreMode its_mode, Database opened)
      : path(opened.path()), mode(its_mode), connection(std::move(opened)) {}

  /// The connection. Where the file failed since, a new one: the old may hold pages that the disk
  /// does not have.
  [[nodiscard]] Result<Database*> database();
  /// The same for writing.
  /// @errors usage: opened to read only
  [[nodiscard]] Result<Database*> writable();
  /// Whether the file has the tables of this version; one of an older program that is open for
  /// reading keeps its own.
  [[nodiscard]] Result<bool> has_tables_of(std::int64_t version);
  /// A statement on database().
  [[nodiscard]] Result<Statement> prepare(std::string_view sql);
  [[nodiscard]] Result<Adding*> adding_on(const Database& database);
  /// Within a transaction. @return how many were not there yet
  [[nodiscard]] Result<std::int64_t> insert(const Database& database, Adding& statements,
                                            std::span<const Reading> readings);

  std::string path;
  StoreMode mode;
  std::optional<Database> connection;
  std::optional<Adding> adding;                         ///< of `connection`
  std::optional<std::vector<std::int64_t>> registered;  ///< rows of register_probes, in its order

 private:
  [[nodiscard]] Result<void> reopen();
};

/// An id or a digest as the store writes it, whatever letters a person typed.
[[nodiscard]] std::string lower_case(std::string text);

}  // namespace nestcup

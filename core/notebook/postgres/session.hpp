// The one connection to a course's database: made when it is needed, made anew when it was lost.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <pqxx/pqxx>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/base/result.hpp"
#include "core/notebook/postgres/address.hpp"
#include "core/notebook/postgres/call_limit.hpp"
#include "core/sheet/bench_file.hpp"

namespace nestcup {

/// What a transaction does; an Error takes it back. It may be called several times.
using PostgresWork = std::function<Result<void>(pqxx::work&)>;

/// How long statements may take.
enum class PostgresPace {
  usual,  ///< half a minute each: carrying and reading single runs
  long_,  ///< as long as they need: changes of the tables, lists of many runs
};

/// Calls come from one thread.
class PostgresSession {
 public:
  /// Gives the password when a connection is made; empty: libpq looks into its own places.
  using Password = std::function<Result<std::string>()>;

  /// @param go_on  asked now and then while the server is waited for, also by another thread; false
  ///               ends that
  PostgresSession(PostgresAddress address, Password password, std::function<bool()> go_on);

  [[nodiscard]] const std::string& where() const { return address_.text(); }

  /// A statement by name, for exec_prepared in transactions of this session.
  void prepare(std::string name, std::string sql);

  /// Does the work in a transaction that is on the server's disk when this returns. Deadlocks,
  /// serialization failures and lost connections are repeated a few times; so the work must be
  /// harmless where the attempt before had arrived and only its answer was lost.
  /// @errors as PostgresFailure; those of the work
  [[nodiscard]] Result<void> transact(const PostgresWork& work,
                                      PostgresPace pace = PostgresPace::usual);

  /// The same for looking alone: everything of one moment, and nothing can be written.
  [[nodiscard]] Result<void> look(const PostgresWork& work,
                                  PostgresPace pace = PostgresPace::usual);

 private:
  [[nodiscard]] Result<void> connect();
  /// @return nothing where the attempt is to be repeated
  [[nodiscard]] std::optional<Result<void>> attempt(const PostgresWork& work, PostgresPace pace,
                                                    bool is_last);
  [[nodiscard]] Result<void> connected_by(const std::string& password);
  [[nodiscard]] Result<void> set_up();

  PostgresAddress address_;
  Password password_;
  std::function<bool()> go_on_;
  std::vector<std::pair<std::string, std::string>> prepared_;
  CallLimit limit_;
  std::unique_ptr<pqxx::connection> connection_;
};

/// A session with the database that a notebook's settings name; nothing is connected yet.
/// @errors bad_configuration: the address
[[nodiscard]] Result<std::unique_ptr<PostgresSession>> open_postgres(
    const NotebookSettings& settings, std::function<bool()> go_on = [] { return true; });

}  // namespace nestcup

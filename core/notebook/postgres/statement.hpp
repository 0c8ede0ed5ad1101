// Statements with values, as the libpqxx at hand wants them: from 7.10 on it warns of the functions
// that 6.4 (Debian 12) has alone.
#pragma once

#include <pqxx/pqxx>
#include <string>
#include <utility>

namespace nestcup {

/// Runs a statement with values for $1, $2, ...
/// @throws what libpqxx throws
template <typename... Values>
pqxx::result execute(pqxx::transaction_base& transaction, const std::string& sql,
                     Values&&... values) {
#if PQXX_VERSION_MAJOR > 7 || (PQXX_VERSION_MAJOR == 7 && PQXX_VERSION_MINOR >= 10)
  return transaction.exec(sql, pqxx::params{std::forward<Values>(values)...});
#else
  return transaction.exec_params(sql, std::forward<Values>(values)...);
#endif
}

/// The same for a statement that was prepared by this name.
/// @throws what libpqxx throws
template <typename... Values>
pqxx::result execute_prepared(pqxx::transaction_base& transaction, const std::string& name,
                              Values&&... values) {
#if PQXX_VERSION_MAJOR > 7 || (PQXX_VERSION_MAJOR == 7 && PQXX_VERSION_MINOR >= 10)
  return transaction.exec(pqxx::prepped{name}, pqxx::params{std::forward<Values>(values)...});
#else
  return transaction.exec_prepared(name, std::forward<Values>(values)...);
#endif
}

}  // namespace nestcup

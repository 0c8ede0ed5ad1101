#include "core/notebook/postgres/failure.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <pqxx/pqxx>

namespace nestcup {
namespace {

struct StateWords {
  std::string_view begin;  ///< of the SQLSTATE
  Fault kind;
  bool again;
  bool lost;
  std::string_view words;
};

// The first that fits counts.
constexpr std::array<StateWords, 30> known_states{{
    {"40001", Fault::try_later, true, false, "another wrote the same at that moment"},
    {"40P01", Fault::try_later, true, false, "two writers waited for each other"},
    {"57014", Fault::try_later, false, false, "the server gave up the statement; it took too long"},
    {"57P01", Fault::unavailable, true, true, "the server is being stopped"},
    {"57P02", Fault::unavailable, true, true, "the server broke down and starts anew"},
    {"57P03", Fault::unavailable, true, true, "the server takes nothing yet; it is starting"},
    {"57P05", Fault::unavailable, true, true, "the connection was idle for too long"},
    {"25P03", Fault::unavailable, true, true, "the connection was idle for too long"},
    {"25006", Fault::try_later, false, true,
     "the database can only be read at present (a stand-by, or set so)"},
    {"08", Fault::unavailable, true, true, "the connection broke"},
    {"53100", Fault::io, false, false, "the disk of the database is full"},
    {"53200", Fault::try_later, false, false, "the server is out of memory"},
    {"53300", Fault::try_later, false, true, "the server has too many connections"},
    {"53", Fault::try_later, false, false, "the server is out of something"},
    {"55P03", Fault::try_later, false, false, "another holds what is needed for too long"},
    {"58", Fault::io, false, false, "the server's machine failed"},
    {"XX", Fault::io, false, true, "the server failed in itself"},
    {"28", Fault::not_permitted, false, true, "the server does not let this user in"},
    {"3D000", Fault::bad_configuration, false, true,
     "there is no such database; its administrator makes it (createdb)"},
    {"42501", Fault::not_permitted, false, false,
     "this user lacks a right; ask the administrator for: GRANT nestcup_bench TO the user"},
    {"42P01", Fault::bad_configuration, false, false,
     "the tables of nestcup are not there; run nestcup database prepare"},
    {"3F000", Fault::bad_configuration, false, false,
     "the tables of nestcup are not there; run nestcup database prepare"},
    {"42", Fault::bad_configuration, false, false,
     "its tables are not those of this version; run nestcup database status"},
    {"22P05", Fault::bad_data, false, false, "a text holds a character that its text cannot hold"},
    {"22021", Fault::bad_data, false, false, "a text holds a character that its text cannot hold"},
    {"54", Fault::bad_data, false, false, "something is larger than the server takes"},
    {"22", Fault::bad_data, false, false, "something has a value that its tables do not take"},
    {"23", Fault::bad_data, false, false, "something does not fit what is there"},
    {"0A", Fault::bad_configuration, false, false,
     "the server cannot do that; is it older than 12?"},
    {"", Fault::io, false, false, "the server refused"},
}};

struct ConnectWords {
  std::string_view part;  ///< of libpq's or the server's message
  Fault kind;
  std::string_view words;
};

// The first that fits counts.
constexpr std::array<ConnectWords, 14> known_connects{{
    {"password authentication failed", Fault::not_permitted, "the password is not that user's"},
    {"no password supplied", Fault::not_permitted,
     "it wants a password and none is given (password_file in the bench file, or ~/.pgpass)"},
    {"no pg_hba.conf entry", Fault::not_permitted,
     "it does not let this user in from this machine (its pg_hba.conf)"},
    {"root certificate file", Fault::bad_configuration,
     "the certificate to check it by is not there (sslrootcert=FILE in the address, or "
     "~/.postgresql/root.crt)"},
    {"does not match host name", Fault::unavailable,
     "its certificate is another host's; nothing was sent"},
    {"certificate verify failed", Fault::unavailable,
     "its certificate is not one to trust; nothing was sent"},
    {"server does not support SSL", Fault::bad_configuration,
     "it does not encrypt, which the address demands (sslmode)"},
    {"role \"", Fault::not_permitted, "it does not know this user"},
    {"database \"", Fault::bad_configuration,
     "there is no such database, or this user may not enter it"},
    {"too many", Fault::try_later, "it has too many connections"},
    {"starting up", Fault::unavailable, "it is starting"},
    {"timeout expired", Fault::unavailable, "it does not answer"},
    {"could not translate host name", Fault::unavailable, "no address is known for that host"},
    {"", Fault::unavailable, "it cannot be reached"},
}};

/// The server's words in one line, without its level and what it adds (which may hold rows).
std::string line_of_message(std::string message) {
  for (const std::string_view level : {"ERROR:  ", "FATAL:  ", "PANIC:  "}) {
    if (message.starts_with(level)) message.erase(0, level.size());
  }
  message = message.substr(0, message.find("\nDETAIL"));
  message = message.substr(0, message.find("\nHINT"));
  message = message.substr(0, message.find("\nCONTEXT"));
  message = message.substr(0, message.find("\nLINE"));
  while (!message.empty() && message.back() == '\n') message.pop_back();
  for (char& c : message) {
    if (c == '\n' || c == '\t') c = ' ';
  }
  return message;
}

template <class Kind>
bool is_kind(const pqxx::sql_error& error) {
  return dynamic_cast<const Kind*>(&error) != nullptr;
}

/// libpqxx 6 leaves the SQLSTATE out of some errors that it has a class for.
std::string state_of(const pqxx::sql_error& error) {
  if (!error.sqlstate().empty()) return error.sqlstate();
  if (is_kind<pqxx::insufficient_privilege>(error)) return "42501";
  if (is_kind<pqxx::undefined_table>(error)) return "42P01";
  if (is_kind<pqxx::syntax_error>(error)) return "42601";
  if (is_kind<pqxx::disk_full>(error)) return "53100";
  if (is_kind<pqxx::out_of_memory>(error)) return "53200";
  if (is_kind<pqxx::insufficient_resources>(error)) return "53000";
  if (is_kind<pqxx::integrity_constraint_violation>(error)) return "23000";
  if (is_kind<pqxx::data_exception>(error)) return "22000";
  if (is_kind<pqxx::feature_not_supported>(error)) return "0A000";
  return {};
}

PostgresFailure lost_connection(const std::string& where, const std::string& words) {
  return {{Fault::unavailable, fmt::format("{}: {}", where, words)}, true, true};
}

}  // namespace

PostgresFailure failure_of_state(const std::string& where, const std::string& sqlstate,
                                 const std::string& message) {
  const auto known =
      std::find_if(known_states.begin(), known_states.end(),
                   [&](const StateWords& state) { return sqlstate.starts_with(state.begin); });
  const std::string state = sqlstate.empty() ? "" : fmt::format(", SQLSTATE {}", sqlstate);
  return {{known->kind,
           fmt::format("{}: {} ({}{})", where, known->words, line_of_message(message), state)},
          known->again,
          known->lost};
}

Error connect_error(const std::string& where, const std::string& message) {
  const auto known = std::find_if(
      known_connects.begin(), known_connects.end(),
      [&](const ConnectWords& words) { return message.find(words.part) != std::string::npos; });
  return {known->kind, fmt::format("{}: {} ({})", where, known->words, line_of_message(message))};
}

PostgresFailure failure_of(const std::string& where, std::exception_ptr thrown) {
  try {
    std::rethrow_exception(std::move(thrown));
    // libpqxx 6 has these outside of sql_error, 7 within.
  } catch (const pqxx::deadlock_detected& error) {
    return failure_of_state(where, "40P01", error.what());
  } catch (const pqxx::statement_completion_unknown& error) {
    return failure_of_state(where, "08007", error.what());
  } catch (const pqxx::transaction_rollback& error) {
    return failure_of_state(where, "40001", error.what());
  } catch (const pqxx::too_many_connections& error) {
    return failure_of_state(where, "53300", error.what());
  } catch (const pqxx::in_doubt_error&) {
    return lost_connection(where,
                           "the connection broke while a run was being confirmed; whether it "
                           "arrived is looked up with the next attempt");
  } catch (const pqxx::sql_error& error) {
    return failure_of_state(where, state_of(error), error.what());
  } catch (const pqxx::broken_connection& error) {
    return lost_connection(where,
                           fmt::format("the connection broke ({})", line_of_message(error.what())));
  } catch (const std::exception& error) {
    return {{Fault::io, fmt::format("{}: {}", where, line_of_message(error.what()))}, false, true};
  }
}

}  // namespace nestcup

#include "core/notebook/postgres/schema.hpp"

#include <fmt/format.h>

#include "core/base/version.hpp"
#include "core/notebook/postgres/migrations.hpp"

namespace nestcup {
namespace {

// "nestcup" in ASCII: advisory locks are numbers of one's own choice.
constexpr long long prepare_lock = 0x6e657374637570;

constexpr const char* begin_sql = R"sql(
CREATE SCHEMA IF NOT EXISTS nestcup;
CREATE TABLE IF NOT EXISTS nestcup.migration (
  version integer PRIMARY KEY,
  about text NOT NULL,
  program text NOT NULL,
  applied_at timestamptz NOT NULL DEFAULT now()
);
)sql";

std::string applied_sql(const Migration& step) {
  return fmt::format(
      "INSERT INTO nestcup.migration (version, about, program) VALUES ({}, '{}', 'nestcup {}');\n",
      step.version, step.about, version_text);
}

/// The version of the tables; nothing where there are none.
std::optional<int> version_in(pqxx::work& transaction) {
  const auto there = transaction.exec("SELECT to_regclass('nestcup.migration') IS NOT NULL");
  if (!there[0][0].as<bool>()) return std::nullopt;
  const auto row = transaction.exec("SELECT max(version) FROM nestcup.migration");
  if (row[0][0].is_null()) return std::nullopt;
  return row[0][0].as<int>();
}

Error newer_tables(const std::string& where, int version) {
  return {Fault::bad_configuration,
          fmt::format("{}: its tables are of version {}, this program knows {}: it was prepared by "
                      "a newer nestcup; install that here, too",
                      where, version, newest_version())};
}

void add_counts(pqxx::work& transaction, PostgresState& state) {
  const auto row = transaction.exec(
      "SELECT (SELECT count(*) FROM nestcup.run), (SELECT count(*) FROM nestcup.bench), "
      "coalesce((SELECT to_char(max(arrived_at) AT TIME ZONE 'UTC', "
      "'YYYY-MM-DD\"T\"HH24:MI:SS.MS\"Z\"') FROM nestcup.run), ''), "
      "pg_size_pretty((SELECT sum(pg_total_relation_size(c.oid)) FROM pg_class c "
      "WHERE c.relnamespace = 'nestcup'::regnamespace AND c.relkind IN ('r', 'p')))");
  state.runs = row[0][0].as<long long>();
  state.benches = row[0][1].as<long long>();
  state.newest_run_at = row[0][2].as<std::string>();
  state.size = row[0][3].as<std::string>();
}

void add_rights(pqxx::work& transaction, PostgresState& state) {
  const auto row = transaction.exec(
      "SELECT bool_and(has_table_privilege(name, 'SELECT')), "
      "bool_and(has_table_privilege(name, 'INSERT')), "
      "bool_or(has_table_privilege(name, 'UPDATE') OR has_table_privilege(name, 'DELETE') OR "
      "has_table_privilege(name, 'TRUNCATE')) FROM unnest(ARRAY['nestcup.bench', 'nestcup.sheet', "
      "'nestcup.run', 'nestcup.revision', 'nestcup.link', 'nestcup.chain_end', 'nestcup.trace']) "
      "AS name");
  state.may_read = row[0][0].as<bool>();
  state.may_add = row[0][1].as<bool>();
  state.may_change = row[0][2].as<bool>();
}

Result<void> check_encoding(pqxx::work& transaction, const std::string& where) {
  const auto row = transaction.exec("SHOW server_encoding");
  const auto encoding = row[0][0].as<std::string>();
  if (encoding == "UTF8") return {};
  return Error{Fault::bad_configuration,
               fmt::format("{}: the database's texts are in {}, expected UTF8; make one with "
                           "createdb --encoding=UTF8 --template=template0",
                           where, encoding)};
}

}  // namespace

Result<PostgresState> postgres_state(PostgresSession& session) {
  PostgresState state;
  const auto looked = session.look(
      [&](pqxx::work& transaction) -> Result<void> {
        state = {};
        const auto row = transaction.exec(
            "SELECT current_setting('server_version'), current_database(), current_user");
        state.server = row[0][0].as<std::string>();
        state.database = row[0][1].as<std::string>();
        state.user = row[0][2].as<std::string>();
        const auto schema = transaction.exec(
            "SELECT coalesce(has_schema_privilege(to_regnamespace('nestcup')::oid, 'USAGE'), "
            "true)");
        if (!schema[0][0].as<bool>()) {
          return Error{Fault::not_permitted,
                       fmt::format("{}: user {} may not look into the schema nestcup; ask the "
                                   "administrator for: GRANT nestcup_reader TO {}",
                                   session.where(), state.user, state.user)};
        }
        state.version = version_in(transaction);
        if (!state.version || *state.version > newest_version()) return {};
        add_rights(transaction, state);
        if (state.may_read) add_counts(transaction, state);
        return {};
      },
      PostgresPace::long_);
  if (!looked) return looked.error();
  return state;
}

Result<void> check_postgres(PostgresSession& session) {
  return session.look([&](pqxx::work& transaction) -> Result<void> {
    const auto version = version_in(transaction);
    if (!version) {
      return Error{Fault::bad_configuration,
                   fmt::format("{}: the database has no tables of nestcup yet; whoever may make "
                               "them runs: nestcup database prepare --at {}",
                               session.where(), session.where())};
    }
    if (*version > newest_version()) return newer_tables(session.where(), *version);
    if (*version == newest_version()) return {};
    return Error{Fault::bad_configuration,
                 fmt::format("{}: its tables are of version {}, this program needs {}; whoever may "
                             "change them runs: nestcup database prepare --at {}",
                             session.where(), *version, newest_version(), session.where())};
  });
}

std::string prepare_sql(int from) {
  std::string sql;
  if (from == 0) sql += fmt::format("BEGIN;{}{}COMMIT;\n", begin_sql, roles_sql());
  for (const Migration& step : migrations()) {
    if (step.version <= from) continue;
    sql += fmt::format("\n-- {}: {}\nBEGIN;{}{}COMMIT;\n", step.version, step.about, step.sql,
                       applied_sql(step));
  }
  return sql;
}

Result<int> prepare_postgres(PostgresSession& session) {
  std::optional<int> before;
  bool done = false;
  while (!done) {
    const auto stepped = session.transact(
        [&](pqxx::work& transaction) -> Result<void> {
          transaction.exec(fmt::format("SELECT pg_advisory_xact_lock({})", prepare_lock));
          if (auto good = check_encoding(transaction, session.where()); !good) return good;
          const int version = version_in(transaction).value_or(0);
          if (!before) before = version;
          if (version > newest_version()) return newer_tables(session.where(), version);
          if (version == 0) {
            transaction.exec(begin_sql);
            transaction.exec(roles_sql());
          }
          done = version == newest_version();
          if (done) return {};
          const Migration& step = migrations()[static_cast<std::size_t>(version)];
          transaction.exec(step.sql);
          transaction.exec(applied_sql(step));
          return {};
        },
        PostgresPace::long_);
    if (!stepped && stepped.error().kind == Fault::not_permitted) {
      return Error{Fault::not_permitted, stepped.error().text +
                                             "; preparing is for a user who may make schemas and "
                                             "roles; the SQL for one who does: nestcup database "
                                             "prepare --dry-run"};
    }
    if (!stepped) return stepped.error();
  }
  return *before;
}

}  // namespace nestcup

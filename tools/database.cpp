// nestcup database: a course's database made ready, and what it is like.
#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "core/base/exit_code.hpp"
#include "core/notebook/postgres/migrations.hpp"
#include "core/notebook/postgres/schema.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

/// The database that --at names, or the first of the bench's notebooks that is one.
Result<NotebookSettings> chosen_database(const cli::Parsed& parsed) {
  if (const auto at = parsed.text("at")) {
    if (parsed.text("bench")) {
      return Error{Fault::usage, "options --at and --bench: give one of them"};
    }
    return NotebookSettings{"postgres", *at};
  }
  const auto bench = chosen_bench(parsed);
  if (!bench) {
    return Error{bench.error().kind, bench.error().text + "; or name the database: --at ADDRESS"};
  }
  for (const NotebookSettings& notebook : bench->notebooks) {
    if (notebook.kind == "postgres") return notebook;
  }
  return Error{Fault::bad_configuration,
               fmt::format("{}: has no [[notebook]] with kind = \"postgres\"; name the database: "
                           "--at postgres://USER@HOST/DATABASE",
                           bench->path)};
}

Result<std::unique_ptr<PostgresSession>> session_of(const cli::Parsed& parsed) {
  const auto settings = chosen_database(parsed);
  if (!settings) return settings.error();
  return open_postgres(*settings);
}

int prepare(const cli::Parsed& parsed, cli::Streams& streams) {
  const bool is_dry = parsed.flag("dry-run");
  if (is_dry && !parsed.text("at") && !parsed.text("bench")) {
    streams.out << prepare_sql(0);
    return 0;
  }
  const auto session = session_of(parsed);
  if (!session) return cli::report_error(streams, session.error());
  if (is_dry) {
    const auto state = postgres_state(**session);
    if (!state) return cli::report_error(streams, state.error());
    streams.out << prepare_sql(state->version.value_or(0));
    return 0;
  }
  const auto before = prepare_postgres(**session);
  if (!before) return cli::report_error(streams, before.error());
  const int now = newest_version();
  if (parsed.flag("json")) {
    streams.out << Json{{"database", (*session)->where()},
                        {"version_before", *before == 0 ? Json(nullptr) : Json(*before)},
                        {"version", now}}
                       .dump()
                << '\n';
  } else if (*before == now) {
    streams.out << fmt::format("{}: is ready already, version {}\n", (*session)->where(), now);
  } else if (*before == 0) {
    streams.out << fmt::format("{}: ready, version {}\n", (*session)->where(), now);
  } else {
    streams.out << fmt::format("{}: brought from version {} to {}\n", (*session)->where(), *before,
                               now);
  }
  return 0;
}

std::string rights_words(const PostgresState& state) {
  if (state.may_change) {
    return "may change and delete what is there; a bench needs no more than nestcup_bench";
  }
  if (state.may_add) return "may look and add, as a bench does";
  return state.may_read ? "may look" : "may not look; ask for: GRANT nestcup_reader";
}

std::string state_page(const std::string& where, const PostgresState& state) {
  std::string page = fmt::format("{}: PostgreSQL {}, database {}\n", where, state.server,
                                 state.database);
  if (!state.version) {
    return page + "  no tables of nestcup yet: nestcup database prepare\n";
  }
  const int own = newest_version();
  page += fmt::format("  tables of version {}", *state.version);
  if (*state.version > own) return page + fmt::format("; this program knows {}: install a newer "
                                                      "nestcup\n", own);
  page += *state.version < own
              ? fmt::format(", this program needs {}: nestcup database prepare\n", own)
              : std::string("\n");
  page += fmt::format("  user {}: {}\n", state.user, rights_words(state));
  if (!state.may_read) return page;
  page += fmt::format("  {} runs of {} benches, {}", state.runs, state.benches, state.size);
  page += state.newest_run_at.empty() ? "\n"
                                      : fmt::format("; the last came {}\n", state.newest_run_at);
  return page;
}

Json state_json(const std::string& where, const PostgresState& state) {
  return {{"address", where},
          {"server", state.server},
          {"database", state.database},
          {"user", state.user},
          {"version", state.version ? Json(*state.version) : Json(nullptr)},
          {"version_needed", newest_version()},
          {"may_read", state.may_read},
          {"may_add", state.may_add},
          {"may_change", state.may_change},
          {"runs", state.may_read ? Json(state.runs) : Json(nullptr)},
          {"benches", state.may_read ? Json(state.benches) : Json(nullptr)},
          {"newest_run_at",
           state.newest_run_at.empty() ? Json(nullptr) : Json(state.newest_run_at)}};
}

int status(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto session = session_of(parsed);
  if (!session) return cli::report_error(streams, session.error());
  const auto state = postgres_state(**session);
  if (!state) return cli::report_error(streams, state.error());
  if (parsed.flag("json")) {
    streams.out << state_json((*session)->where(), *state).dump() << '\n';
  } else {
    streams.out << state_page((*session)->where(), *state);
  }
  if (state->version == newest_version()) return 0;
  return exit_code(Fault::bad_configuration);
}

int run_database(const cli::Parsed& parsed, cli::Streams& streams) {
  const std::string action = *parsed.text("ACTION");
  if (action == "prepare") return prepare(parsed, streams);
  if (action != "status") {
    return cli::report_error(
        streams, {Fault::usage, fmt::format("argument ACTION: \"{}\" is neither prepare nor status",
                                            action)});
  }
  if (parsed.flag("dry-run")) {
    return cli::report_error(streams, {Fault::usage, "option --dry-run belongs to prepare"});
  }
  return status(parsed, streams);
}

}  // namespace

cli::CommandSpec database_command() {
  cli::CommandSpec command;
  command.name = "database";
  command.summary = "make a course's PostgreSQL database ready, or say what it is like";
  command.description = {
      "A [[notebook]] of the bench file with kind = \"postgres\" gathers the runs of all benches "
      "of a course in one database. \"prepare\" makes its schema nestcup with tables and views, or "
      "brings those of an earlier version up to date, each step whole or not at all; what is there "
      "stays. It is run once, by whoever administers the database: a user who may create schemas "
      "and roles.",
      "It also makes three group roles, to which the administrator grants people and benches: "
      "nestcup_bench may look and add, and change nothing that is there; nestcup_reader may look; "
      "nestcup_worker may look, too, and share work over many runs (nestcup recompute --from). "
      "\"status\" says which version the tables have, what this user may do, and how many runs are "
      "there.",
      "Passwords do not belong into addresses: the bench file names a file that holds one "
      "(password_file), or libpq finds it in the file that PGPASSFILE names, or in ~/.pgpass. A "
      "server on another machine must prove its name by its certificate unless the address says "
      "otherwise (sslmode)."};
  command.options = {{.name = "at",
                      .value_name = "ADDRESS",
                      .help = "the database, postgres://USER@HOST:PORT/NAME; without it that of "
                              "the bench"},
                     bench_option(),
                     {.name = "dry-run",
                      .help = "with prepare: only print the SQL that is still to be done; all of "
                              "it where no database is named"},
                     json_option()};
  command.arguments = {
      {"ACTION", "prepare or status", 1, 1, {cli::Hint::words, {"prepare", "status"}}}};
  command.examples = {
      {"nestcup database prepare --at postgres://admin@db.school.example/course",
       "make the tables"},
      {"nestcup database prepare --dry-run", "the SQL, to read or to run by hand"},
      {"nestcup database status", "that of this bench"}};
  command.exit_notes = {
      {69, "the server cannot be reached"},
      {77, "the server does not let this user do that"},
      {78, "no tables, older or newer ones; or the address is none"}};
  command.run = run_database;
  return command;
}

}  // namespace nestcup

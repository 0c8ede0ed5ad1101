#include "core/store/schema.hpp"

#include <fmt/format.h>

#include <array>

namespace nestcup {

namespace {

/// The first tables. Readings are clustered by time without a separate key: 37 bytes a reading,
/// against 57 with a rowid and an index, and a span of time is one stretch of the file. Where the
/// raw quantity is the temperature itself it is left out (28 bytes).
constexpr std::string_view first_tables = R"sql(
CREATE TABLE session (
  id INTEGER PRIMARY KEY,
  boot_id TEXT NOT NULL,
  machine_us INTEGER NOT NULL,
  axis_us INTEGER NOT NULL,
  wall_us INTEGER NOT NULL,
  speed REAL NOT NULL,
  clock_synchronised INTEGER CHECK (clock_synchronised IN (0, 1))
) STRICT;

-- One row for each state of a probe's settings, so that old readings keep theirs.
CREATE TABLE probe (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  role TEXT NOT NULL,
  raw_unit TEXT NOT NULL,
  settings_json TEXT NOT NULL,
  UNIQUE (name, role, raw_unit, settings_json)
) STRICT;

CREATE TABLE reading (
  time_us INTEGER NOT NULL,
  probe INTEGER NOT NULL REFERENCES probe (id),
  temperature_degC REAL NOT NULL,
  raw REAL, -- NULL: the temperature itself
  PRIMARY KEY (time_us, probe)
) STRICT, WITHOUT ROWID;

-- Rows of reading, kept in the same transactions: counting would read the whole table.
CREATE TABLE reading_total (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  rows INTEGER NOT NULL
) STRICT;
INSERT INTO reading_total (id, rows) VALUES (1, 0);

CREATE TABLE event (
  time_us INTEGER NOT NULL,
  kind TEXT NOT NULL,
  detail TEXT NOT NULL,
  PRIMARY KEY (time_us, kind, detail)
) STRICT, WITHOUT ROWID;

CREATE TABLE run (
  number INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  first_us INTEGER NOT NULL UNIQUE,
  last_us INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  status TEXT NOT NULL CHECK (status IN ('finished', 'struck'))
) STRICT;

CREATE TABLE run_record (
  run INTEGER NOT NULL REFERENCES run (number),
  revision INTEGER NOT NULL,
  action TEXT NOT NULL,
  reason TEXT NOT NULL,
  who TEXT NOT NULL,
  wall_us INTEGER NOT NULL,
  record_json TEXT NOT NULL,
  PRIMARY KEY (run, revision)
) STRICT;
)sql";

/// Step n brings version n to version n + 1. Steps that were released never change.
constexpr std::array<std::string_view, 1> steps{first_tables};

}  // namespace

std::int64_t newest_schema() {
  return static_cast<std::int64_t>(steps.size());
}

Result<void> check_schema(const Database& database) {
  const auto version = database.whole_answer("PRAGMA user_version");
  if (!version) return version.error();
  if (*version <= newest_schema()) return {};
  return Error{Fault::bad_data,
               fmt::format("{}: was made by a newer version (tables {}, this program knows up to "
                           "{}); update this program",
                           database.path(), *version, newest_schema())};
}

Result<void> migrate(Database& database) {
  const auto version = database.whole_answer("PRAGMA user_version");
  if (!version) return version.error();
  for (std::int64_t step = *version; step < newest_schema(); ++step) {
    const auto outcome = database.in_transaction([&] {
      return database.run(fmt::format("{}PRAGMA application_id = {}; PRAGMA user_version = {}",
                                      steps.at(static_cast<std::size_t>(step)),
                                      store_application_id, step + 1));
    });
    if (!outcome) return outcome;
  }
  return {};
}

}  // namespace nestcup

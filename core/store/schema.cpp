#include "core/store/schema.hpp"

#include <fmt/format.h>

#include <array>

#include "core/store/chain_rows.hpp"

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

/// What was found out about the probes. Rows are only ever added: the newest row of a probe that is
/// an offset, a line, none or again says what holds; `again` names the older row that is taken
/// again.
constexpr std::string_view calibration_table = R"sql(
CREATE TABLE calibration (
  number INTEGER PRIMARY KEY,
  probe TEXT NOT NULL, -- its name: a calibration outlives the probe's other settings
  wall_us INTEGER NOT NULL,
  kind TEXT NOT NULL
    CHECK (kind IN ('offset', 'line', 'none', 'again', 'difference', 'time constant')),
  reference_degC REAL,
  offset_K REAL,
  slope REAL,
  u_offset_K REAL CHECK (u_offset_K >= 0),
  u_slope REAL CHECK (u_slope >= 0),
  covariance_K REAL,
  other TEXT,         -- difference: from which probe
  value REAL,         -- difference: K; time constant: s
  u_value REAL CHECK (u_value >= 0),
  again INTEGER REFERENCES calibration (number),
  points_json TEXT NOT NULL,
  who TEXT NOT NULL,
  note TEXT NOT NULL,
  CHECK ((kind IN ('offset', 'line')) = (offset_K IS NOT NULL AND reference_degC IS NOT NULL AND
    slope IS NOT NULL AND u_offset_K IS NOT NULL AND u_slope IS NOT NULL AND
    covariance_K IS NOT NULL)),
  CHECK ((kind IN ('difference', 'time constant')) = (value IS NOT NULL AND u_value IS NOT NULL)),
  CHECK ((kind = 'again') = (again IS NOT NULL))
) STRICT;
CREATE INDEX calibration_of_probe ON calibration (probe, number);
)sql";

/// The sheets that records refer to, byte for byte: a file that was changed since, or is gone,
/// takes no earlier result with it.
constexpr std::string_view sheet_table = R"sql(
CREATE TABLE sheets (
  sha256 TEXT PRIMARY KEY CHECK (length(sha256) = 64),
  title TEXT NOT NULL,
  text TEXT NOT NULL,
  first_used_us INTEGER NOT NULL -- Unix time
) STRICT, WITHOUT ROWID;
)sql";

/// What finished runs are carried out by. Every revision is a link of the store's chain, by whose
/// digests a record that was changed, taken away or cut off shows; every link is owed to every
/// notebook, from the transaction on that stored it.
constexpr std::string_view outbox_tables = R"sql(
CREATE TABLE chain (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  book TEXT NOT NULL, -- the chain's own id: two benches may have one name
  links INTEGER NOT NULL,
  last_sha256 TEXT NOT NULL
) STRICT;

CREATE TABLE link (
  number INTEGER PRIMARY KEY,
  run INTEGER NOT NULL,
  revision INTEGER NOT NULL,
  record_sha256 TEXT NOT NULL CHECK (length(record_sha256) = 64),
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  UNIQUE (run, revision),
  FOREIGN KEY (run, revision) REFERENCES run_record (run, revision)
) STRICT;

CREATE TABLE notebook (
  number INTEGER PRIMARY KEY,
  name TEXT NOT NULL UNIQUE,
  in_use INTEGER NOT NULL CHECK (in_use IN (0, 1))
) STRICT;

CREATE TABLE owed (
  notebook INTEGER NOT NULL REFERENCES notebook (number),
  link INTEGER NOT NULL REFERENCES link (number),
  state TEXT NOT NULL CHECK (state IN ('owed', 'blocked', 'carried')),
  since_us INTEGER NOT NULL, -- Unix time, as all here
  attempts INTEGER NOT NULL,
  next_try_us INTEGER NOT NULL,
  reason TEXT NOT NULL, -- why the last attempt failed
  carried_us INTEGER,
  PRIMARY KEY (notebook, link)
) STRICT, WITHOUT ROWID;
CREATE INDEX owed_now ON owed (notebook, link) WHERE state <> 'carried';
)sql";

struct Step {
  std::string_view tables;
  Result<void> (*fill)(const Database&) = nullptr;  ///< what SQL alone cannot do
};

/// Step n brings version n to version n + 1. Steps that were released never change.
constexpr std::array<Step, 4> steps{
    {{first_tables}, {calibration_table}, {sheet_table}, {outbox_tables, begin_chain}}};

/// What brings version `number` to the next one, within a transaction.
Result<void> take_step(const Database& database, std::int64_t number) {
  const Step& step = steps.at(static_cast<std::size_t>(number));
  auto made = database.run(fmt::format("{}PRAGMA application_id = {}; PRAGMA user_version = {}",
                                       step.tables, store_application_id, number + 1));
  if (!made || step.fill == nullptr) return made;
  return step.fill(database);
}

/// In one transaction with the mark of a store: incremental vacuum must be chosen before a file has
/// a page, and by itself would make a file without that mark, which a kill then leaves behind.
Result<void> begin_store(Database& database) {
  return database.in_first_transaction([&]() -> Result<void> {
    if (auto set = database.run("PRAGMA auto_vacuum = INCREMENTAL"); !set) return set;
    return take_step(database, 0);
  });
}

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
  for (std::int64_t number = *version; number < newest_schema(); ++number) {
    const auto outcome = number == 0
                             ? begin_store(database)
                             : database.in_transaction([&] { return take_step(database, number); });
    if (!outcome) return outcome;
  }
  return {};
}

}  // namespace nestcup

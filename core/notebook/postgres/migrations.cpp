#include "core/notebook/postgres/migrations.hpp"

namespace nestcup {
namespace {

constexpr const char* roles = R"sql(
DO $$
DECLARE wanted text;
BEGIN
  FOREACH wanted IN ARRAY ARRAY['nestcup_bench', 'nestcup_reader', 'nestcup_worker'] LOOP
    IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = wanted) THEN
      EXECUTE format('CREATE ROLE %I NOLOGIN', wanted);
    END IF;
  END LOOP;
EXCEPTION WHEN duplicate_object OR unique_violation THEN
  NULL;  -- another database of this server is being prepared at the same moment
END $$;
)sql";

// Readings are one row a run and probe: as single rows with their key they would take several times
// the space and the time (tests/notebook/postgres/benchmark.py says how many). Keys begin with the
// run's id, which begins with its time (UUIDv7, RFC 9562), so that tables can be partitioned by
// ranges of ids, one a term, with their keys as they are.
constexpr const char* tables = R"sql(
CREATE TABLE nestcup.bench (
  book text PRIMARY KEY,
  name text NOT NULL,
  arrived_at timestamptz NOT NULL DEFAULT now()
);
COMMENT ON TABLE nestcup.bench IS 'a bench''s store: the id of its chain of records';

CREATE TABLE nestcup.sheet (
  sha256 text PRIMARY KEY,
  title text NOT NULL,
  text text NOT NULL,
  first_used_us bigint NOT NULL,
  CONSTRAINT sheet_has_its_digest
    CHECK (sha256 = encode(pg_catalog.sha256(convert_to(text, 'UTF8')), 'hex'))
);
COMMENT ON TABLE nestcup.sheet IS 'sheets that records name, byte for byte';

CREATE TABLE nestcup.run (
  id uuid PRIMARY KEY,
  number bigint GENERATED ALWAYS AS IDENTITY,
  book text NOT NULL REFERENCES nestcup.bench,
  number_at_bench integer NOT NULL,
  first_us bigint NOT NULL,
  last_us bigint NOT NULL,
  started_at timestamptz,
  folder text NOT NULL,
  arrived_at timestamptz NOT NULL DEFAULT now(),
  CONSTRAINT run_ends_after_it_begins CHECK (first_us <= last_us)
);
CREATE INDEX run_by_number ON nestcup.run (number);
CREATE INDEX run_by_bench ON nestcup.run (book, number_at_bench);
CREATE INDEX run_by_start ON nestcup.run (started_at);
COMMENT ON COLUMN nestcup.run.number IS 'in this database; numbers may be left out';
COMMENT ON COLUMN nestcup.run.first_us IS 'first reading on the bench''s axis, microseconds';

CREATE TABLE nestcup.revision (
  run uuid NOT NULL REFERENCES nestcup.run,
  revision integer NOT NULL CHECK (revision >= 1),
  record text NOT NULL,
  record_sha256 text NOT NULL,
  action text NOT NULL,
  reason text NOT NULL,
  who text NOT NULL,
  wall_us bigint NOT NULL,
  sheet_sha256 text REFERENCES nestcup.sheet,
  status text NOT NULL GENERATED ALWAYS AS (record::jsonb ->> 'status') STORED,
  bench text GENERATED ALWAYS AS (record::jsonb ->> 'bench') STORED,
  sheet_title text GENERATED ALWAYS AS (record::jsonb #>> '{sheet,title}') STORED,
  trial text GENERATED ALWAYS AS (record::jsonb #>> '{trial,name}') STORED,
  trial_number integer
    GENERATED ALWAYS AS ((record::jsonb #>> '{trial,number}')::integer) STORED,
  rise_K double precision
    GENERATED ALWAYS AS ((record::jsonb #>> '{corrected_rise_K,value}')::double precision) STORED,
  rise_u_K double precision
    GENERATED ALWAYS AS ((record::jsonb #>> '{corrected_rise_K,u}')::double precision) STORED,
  readings_sha256 text GENERATED ALWAYS AS (record::jsonb #>> '{readings,sha256}') STORED,
  analysis integer
    GENERATED ALWAYS AS ((record::jsonb #>> '{software,analysis}')::integer) STORED,
  PRIMARY KEY (run, revision)
);
COMMENT ON COLUMN nestcup.revision.record IS
  'as the bench stored it; record_sha256 is that of its canonical form (RFC 8785)';

CREATE TABLE nestcup.link (
  book text NOT NULL REFERENCES nestcup.bench,
  number integer NOT NULL CHECK (number >= 1),
  sha256 text NOT NULL,
  previous_sha256 text NOT NULL,
  record_sha256 text NOT NULL,
  run uuid NOT NULL,
  revision integer NOT NULL,
  PRIMARY KEY (book, number, sha256),
  FOREIGN KEY (run, revision) REFERENCES nestcup.revision
);
CREATE INDEX link_by_run ON nestcup.link (run, revision);
COMMENT ON TABLE nestcup.link IS 'chains of records; a run that was imported back may be in two';

CREATE TABLE nestcup.chain_end (
  book text NOT NULL REFERENCES nestcup.bench,
  links integer NOT NULL CHECK (links >= 1),
  last_sha256 text NOT NULL,
  bench text NOT NULL,
  kept_at timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (book, links)
);
COMMENT ON TABLE nestcup.chain_end IS 'where a bench''s chain ended; the one with most links holds';

CREATE TABLE nestcup.trace (
  run uuid NOT NULL REFERENCES nestcup.run,
  probe smallint NOT NULL,
  name text NOT NULL,
  role text NOT NULL,
  raw_unit text,
  time_us bigint[] NOT NULL,
  temperature_degC double precision[] NOT NULL,
  raw double precision[],
  PRIMARY KEY (run, probe),
  CONSTRAINT trace_is_even CHECK (
    cardinality(time_us) = cardinality(temperature_degC)
    AND (raw IS NULL OR cardinality(raw) = cardinality(time_us)))
);
COMMENT ON TABLE nestcup.trace IS 'readings of a run, one row a probe, in order of time';
COMMENT ON COLUMN nestcup.trace.time_us IS 'since the run''s first reading, microseconds';
COMMENT ON COLUMN nestcup.trace.raw IS 'what the probe sent; none where that is the temperature';

CREATE VIEW nestcup.reading AS
SELECT trace.run, trace.probe, trace.role, one.place, one.time_us, one.time_us / 1e6 AS time_s,
  one.temperature_degC, coalesce(one.raw, one.temperature_degC) AS raw
FROM nestcup.trace,
  unnest(trace.time_us, trace.temperature_degC, trace.raw) WITH ORDINALITY
    AS one (time_us, temperature_degC, raw, place);
COMMENT ON VIEW nestcup.reading IS 'readings as rows, for SQL by hand';

CREATE VIEW nestcup.current_run AS
SELECT run.id, run.number, run.book, run.number_at_bench, run.first_us, run.last_us,
  run.started_at, run.folder, run.arrived_at, newest.revision, newest.status, newest.bench,
  newest.sheet_title, newest.sheet_sha256, newest.trial, newest.trial_number, newest.rise_K,
  newest.rise_u_K, newest.readings_sha256, newest.analysis, newest.record_sha256, newest.record
FROM nestcup.run
JOIN LATERAL (SELECT * FROM nestcup.revision WHERE revision.run = run.id
  ORDER BY revision.revision DESC LIMIT 1) AS newest ON true;
COMMENT ON VIEW nestcup.current_run IS 'every run with its newest revision';

GRANT USAGE ON SCHEMA nestcup TO nestcup_bench, nestcup_reader, nestcup_worker;
GRANT SELECT ON ALL TABLES IN SCHEMA nestcup TO nestcup_bench, nestcup_reader, nestcup_worker;
GRANT INSERT ON nestcup.bench, nestcup.sheet, nestcup.run, nestcup.revision, nestcup.link,
  nestcup.chain_end, nestcup.trace TO nestcup_bench;
)sql";

// What computing over many runs brings. A bench's own revisions stay as they are: the next number
// is the bench's, and may still come.
constexpr const char* work = R"sql(
CREATE TABLE nestcup.recomputed (
  run uuid NOT NULL,
  of_revision integer NOT NULL,
  analysis integer NOT NULL,
  record text NOT NULL,
  why text NOT NULL,
  who text NOT NULL,
  wall_us bigint NOT NULL,
  rise_K double precision
    GENERATED ALWAYS AS ((record::jsonb #>> '{corrected_rise_K,value}')::double precision) STORED,
  rise_u_K double precision
    GENERATED ALWAYS AS ((record::jsonb #>> '{corrected_rise_K,u}')::double precision) STORED,
  PRIMARY KEY (run, of_revision, analysis),
  FOREIGN KEY (run, of_revision) REFERENCES nestcup.revision
);
COMMENT ON TABLE nestcup.recomputed IS
  'records made anew from the readings where they came out differently; benches know none of it';

CREATE TABLE nestcup.task (
  kind text NOT NULL CHECK (kind IN ('recompute', 'verify')),
  analysis integer NOT NULL,
  run uuid NOT NULL,
  of_revision integer NOT NULL,
  worker text,
  lease_until timestamptz,
  attempts integer NOT NULL DEFAULT 0,
  done_at timestamptz,
  outcome text,
  said text,
  PRIMARY KEY (kind, analysis, run, of_revision),
  FOREIGN KEY (run, of_revision) REFERENCES nestcup.revision
);
CREATE INDEX task_open ON nestcup.task (kind, analysis, run, of_revision) WHERE done_at IS NULL;
COMMENT ON TABLE nestcup.task IS 'work over many runs, shared by any number of machines';
COMMENT ON COLUMN nestcup.task.lease_until IS
  'the worker has it until then, unless it renews it; afterwards anybody may take it';

CREATE VIEW nestcup.latest_run AS
SELECT kept.id, kept.number, kept.book, kept.number_at_bench, kept.first_us, kept.last_us,
  kept.started_at, kept.folder, kept.arrived_at, kept.revision, kept.status, kept.bench,
  kept.sheet_title, kept.sheet_sha256, kept.trial, kept.trial_number, kept.readings_sha256,
  CASE WHEN anew.run IS NULL THEN kept.rise_K ELSE anew.rise_K END AS rise_K,
  CASE WHEN anew.run IS NULL THEN kept.rise_u_K ELSE anew.rise_u_K END AS rise_u_K,
  coalesce(anew.analysis, kept.analysis) AS analysis,
  coalesce(anew.record, kept.record) AS record,
  anew.run IS NOT NULL AS is_recomputed
FROM nestcup.current_run AS kept
LEFT JOIN LATERAL (SELECT * FROM nestcup.recomputed WHERE recomputed.run = kept.id
  AND recomputed.of_revision = kept.revision AND recomputed.analysis >= kept.analysis
  ORDER BY recomputed.analysis DESC LIMIT 1) AS anew ON true;
COMMENT ON VIEW nestcup.latest_run IS
  'every run with its newest revision, or what was made of that anew since';

GRANT SELECT ON nestcup.recomputed, nestcup.task, nestcup.latest_run
  TO nestcup_bench, nestcup_reader, nestcup_worker;
GRANT INSERT ON nestcup.recomputed TO nestcup_worker;
GRANT INSERT, UPDATE ON nestcup.task TO nestcup_worker;
)sql";

}  // namespace

const std::vector<Migration>& migrations() {
  static const std::vector<Migration> all{
      {1, "runs, records, readings, sheets and chains of records", tables},
      {2, "work shared by many machines, and records made anew", work},
  };
  return all;
}

int newest_version() {
  return migrations().back().version;
}

const std::string& roles_sql() {
  static const std::string sql = roles;
  return sql;
}

}  // namespace nestcup

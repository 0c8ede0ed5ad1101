"""Benches that carry to one database, and what must hold of them whatever happened: what the stores
hold is in the database, once, whole, and nothing else. Digests are worked out anew by Python and by
the database alone, from what the headers say of them (core/store/chain.hpp).
"""

import contextlib
import json
import os
import pathlib
import sqlite3
import subprocess
import sys

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "campaign"))
from bench_folder import (BENCH, MAKER, NESTCUP, canonical, change, check_chain,  # noqa: E402,F401
                          rows, sha256)

FOLDER_NOTEBOOK = BENCH[BENCH.index("[[notebook]]"):]
DATABASE_NOTEBOOK = '[[notebook]]\nkind = "postgres"\nurl = "{url}"\n'


def write_bench(folder, url, name="bench-4"):
    text = BENCH.replace(FOLDER_NOTEBOOK, DATABASE_NOTEBOOK.format(url=url))
    (folder / "bench.toml").write_text(text.format(name=name), encoding="utf-8")


def made_bench(folder, url, runs=3, kinds=1, name="bench-4", number=0):
    """A new bench whose runs have been stored and carried nowhere; benches of other numbers have
    other runs."""
    folder.mkdir(exist_ok=True)
    write_bench(folder, url, name)
    subprocess.run([MAKER, "make", folder / "bench.db", str(runs), str(kinds),
                    str(number)], check=True)
    return folder


def nestcup(*words, env=None):
    """A call; what it says of its progress on a slow machine is left out."""
    call = subprocess.run([NESTCUP, *map(str, words)], capture_output=True, text=True, timeout=300,
                          check=False, env={**os.environ, **(env or {})})
    call.stderr = "".join(line for line in call.stderr.splitlines(keepends=True)
                          if not line.endswith(" still owed\n"))
    return call


def sync(folder, *words, env=None):
    return nestcup("sync", *words, "--bench", folder / "bench.toml", env=env)


def synced(folder, **how):
    call = sync(folder, **how)
    assert (call.returncode, call.stderr) == (0, ""), call.stderr
    return call


def strike(folder, number, reason="spilt"):
    call = nestcup("strike", number, "--reason", reason, "--bench", folder / "bench.toml")
    assert call.returncode == 0, call.stderr


def prepared(server, database="course"):
    """A new database with tables, and a user `bench4` who may add, password "sesame"."""
    server.new_database(database)
    call = nestcup("database", "prepare", "--at", server.url(database))
    assert call.returncode == 0, call.stderr
    if not server.sql("SELECT 1 FROM pg_roles WHERE rolname = 'bench4'", database):
        server.sql("CREATE ROLE bench4 LOGIN PASSWORD 'sesame'; GRANT nestcup_bench TO bench4",
                   database)
    return server.url(database)


def check_carried(server, folders, database="course"):
    """The database has everything that these stores have, once, whole, and nothing else."""
    runs, revisions, sheets = {}, {}, {}
    for folder in folders:
        check_chain(folder)
        assert rows(folder, "SELECT count(*) FROM owed JOIN notebook ON owed.notebook = number "
                            "WHERE in_use AND state <> 'carried'") == [(0,)]
        ((book,),) = rows(folder, "SELECT book FROM chain")
        for number, run, first, last in rows(folder,
                                             "SELECT number, id, first_us, last_us FROM run"):
            runs[run] = [book, str(number), str(first), str(last)]
        for one in rows(folder, "SELECT id, run_record.revision, record_json, action, reason, who,"
                                " wall_us FROM run_record JOIN run ON number = run"):
            revisions[one[0], str(one[1])] = [one[2], *map(str, one[3:])]
        sheets |= dict(rows(folder, "SELECT sha256, text FROM sheets"))
    assert {row[0]: row[1:] for row in server.sql(
        "SELECT id, book, number_at_bench, first_us, last_us FROM nestcup.run", database)} == runs
    there = {(row[0], row[1]): row[2:] for row in server.sql(
        "SELECT run, revision, record, action, reason, who, wall_us, record_sha256 "
        "FROM nestcup.revision", database)}
    assert there.keys() == revisions.keys()
    for key, row in there.items():
        assert row[:-1] == revisions[key], key
        assert row[-1] == sha256(canonical(json.loads(row[0]))), key
    for digest, text in server.sql("SELECT sha256, text FROM nestcup.sheet", database):
        assert sheets[digest] == text
    check_links(server, folders, database)
    check_readings(server, runs, database)


def check_links(server, folders, database):
    """Every link has the digest that SQL alone works out, follows the one before it, and the kept
    end is the store's."""
    wrong = server.sql("""
        SELECT book, number FROM nestcup.link AS l WHERE
          sha256 <> encode(pg_catalog.sha256(convert_to(format(
            '{"book":"%s","link":%s,"previous":"%s","record":"%s","revision":%s,"run":"%s"}',
            book, number, previous_sha256, record_sha256, revision, run), 'UTF8')), 'hex')
          OR previous_sha256 <> coalesce((SELECT sha256 FROM nestcup.link AS before
            WHERE before.book = l.book AND before.number = l.number - 1), '')
          OR record_sha256 <> (SELECT record_sha256 FROM nestcup.revision AS r
            WHERE r.run = l.run AND r.revision = l.revision)""", database)
    assert wrong == [], wrong
    for folder in folders:
        ((book, links, last),) = rows(folder, "SELECT book, links, last_sha256 FROM chain")
        assert server.sql(f"SELECT count(*), max(number), min(number) FROM nestcup.link "
                          f"WHERE book = '{book}'", database) == [[str(links), str(links), "1"]]
        assert server.sql(f"SELECT links, last_sha256 FROM nestcup.chain_end WHERE book = '{book}' "
                          f"ORDER BY links DESC LIMIT 1", database) == [[str(links), last]]


def check_readings(server, runs, database):
    """The rows of the view, set as the header of trace_text.hpp says, give the digest that the
    record states. Written for runs without raw columns, as all simulated ones are."""
    digests = server.sql("""SET enable_nestloop = off;
        WITH one AS MATERIALIZED (
          SELECT run, probe, time_us, CASE WHEN temperature_degC = trunc(temperature_degC)
            THEN temperature_degC || '.0' ELSE temperature_degC::text END AS text
          FROM nestcup.reading),
        cell AS (
          SELECT moment.run, moment.time_us,
            string_agg(coalesce(one.text, ''), ',' ORDER BY trace.probe) AS text
          FROM (SELECT DISTINCT run, time_us FROM one) AS moment
          JOIN nestcup.trace ON trace.run = moment.run
          LEFT JOIN one ON (one.run, one.probe, one.time_us) =
            (moment.run, trace.probe, moment.time_us)
          GROUP BY moment.run, moment.time_us),
        line AS (
          SELECT run, time_us, CASE WHEN time_us % 1000000 = 0 THEN (time_us / 1000000) || '.0'
            ELSE (time_us / 1e6)::float8::text END || ',' || text || E'\\n' AS text FROM cell),
        head AS (
          SELECT run, 'time_s' || string_agg(',' || role || '_degC', '' ORDER BY probe)
            || E'\\n' AS text FROM nestcup.trace WHERE raw IS NULL GROUP BY run)
        SELECT head.run, encode(pg_catalog.sha256(convert_to(
            min(head.text) || string_agg(line.text, '' ORDER BY time_us), 'UTF8')), 'hex'),
          min(current_run.readings_sha256)
        FROM head JOIN line USING (run) JOIN nestcup.current_run ON current_run.id = head.run
        GROUP BY head.run""", database)
    assert {row[0] for row in digests} == set(runs), "runs without readings"
    for run, ours, stated in digests:
        assert ours == stated, f"readings of {run}"

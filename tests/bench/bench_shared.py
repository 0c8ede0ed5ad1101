#!/usr/bin/env python3
"""How fast the runs of a course's database are worked out anew by one worker, by two threads and by
two processes; what a run takes on the server's disk; and how much time and memory lists need.

bench_shared.py [--whole] NESTCUP CAMPAIGN_STORE WRITE_STORE [RUNS [SECONDS]]

RUNS (10000) are made in the database from a few simulated ones, each with other ids and every
second of its readings: some 600. Rates are of the tasks that were put down within SECONDS (30)
while all RUNS were to be done; on a busy machine the processor time of a run
says more than the rate. With --whole two processes then work on until all are done. The server is
PostgreSQL with fsync on, on the same machine.
"""

import os
import pathlib
import subprocess
import sys
import tempfile
import time

HERE = pathlib.Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent / "notebook" / "postgres"))
(os.environ["NESTCUP"], os.environ["NESTCUP_CAMPAIGN_STORE"],
 os.environ["NESTCUP_WRITE_STORE"], *COUNTS) = [word for word in sys.argv[1:] if word != "--whole"]
from course import NESTCUP, prepared, synced  # noqa: E402
from server import Server  # noqa: E402
from shared_course import earlier_bench  # noqa: E402

PATTERNS = 11  # the last one is struck out and left out

THIN = """
UPDATE nestcup.trace SET
  time_us = ARRAY(SELECT one FROM unnest(time_us) WITH ORDINALITY AS u (one, i)
    WHERE i % 2 = 1 ORDER BY i),
  temperature_degC = ARRAY(SELECT one FROM unnest(temperature_degC) WITH ORDINALITY AS u (one, i)
    WHERE i % 2 = 1 ORDER BY i);
DELETE FROM nestcup.link; DELETE FROM nestcup.chain_end;
"""

# New runs come a minute apart, with ids that begin with their time as those of benches do.
MANY = """
CREATE TEMP TABLE pattern AS
  SELECT row_number() OVER (ORDER BY number) - 1 AS place, * FROM nestcup.current_run
  WHERE status = 'finished';
CREATE TEMP TABLE made AS
  SELECT n, (lpad(to_hex(1790000000000 + n * 60000::bigint), 12, '0') || '7' ||
    substr(md5(n::text), 1, 3) || '8' || substr(md5(n::text), 4, 15))::uuid AS id,
    pattern.id AS like_id
  FROM generate_series(1, {runs}) AS n
  JOIN pattern ON place = n % (SELECT count(*) FROM pattern);
INSERT INTO nestcup.run (id, book, number_at_bench, first_us, last_us, started_at, folder)
  SELECT made.id, book, n + 100, first_us, last_us,
    to_timestamp(1790000000 + n * 60), folder
  FROM made JOIN pattern ON pattern.id = like_id ORDER BY n;
INSERT INTO nestcup.revision
    (run, revision, record, record_sha256, action, reason, who, wall_us, sheet_sha256)
  SELECT made.id, 1, replace(record, like_id::text, made.id::text), record_sha256, action, reason,
    who, wall_us, sheet_sha256
  FROM made JOIN nestcup.revision ON run = like_id AND revision = 1 ORDER BY n;
INSERT INTO nestcup.trace (run, probe, name, role, raw_unit, time_us, temperature_degC, raw)
  SELECT made.id, probe, name, role, raw_unit, time_us, temperature_degC, raw
  FROM made JOIN nestcup.trace ON run = like_id ORDER BY n;
DELETE FROM nestcup.trace WHERE run NOT IN (SELECT id FROM made);
DELETE FROM nestcup.revision WHERE run NOT IN (SELECT id FROM made);
DELETE FROM nestcup.run WHERE id NOT IN (SELECT id FROM made);
"""


def one(server, text):
    return server.sql(text)[0][0]


def fill(server, home, runs):
    url = prepared(server)
    synced(earlier_bench(home / "bench", url, PATTERNS, 0))
    begun = time.monotonic()
    server.sql(THIN + MANY.format(runs=runs))
    server.sql("ANALYZE")
    made = int(one(server, "SELECT count(*) FROM nestcup.run"))
    readings = float(one(server, "SELECT avg(n) FROM (SELECT sum(cardinality(time_us)) AS n "
                                 "FROM nestcup.trace GROUP BY run LIMIT 200) AS sums"))
    print(f"{made} runs of {readings:.0f} readings, filled in {time.monotonic() - begun:.0f} s")
    for table in ("run", "revision", "trace"):
        size = int(one(server, f"SELECT pg_total_relation_size('nestcup.{table}')"))
        print(f"  {table:9} {size / made:8.0f} bytes a run, with indexes")
    return url


def begin_anew(server):
    for table in ("recomputed", "task"):
        server.sql(f"DELETE FROM nestcup.{table}")
        server.sql(f"VACUUM ANALYZE nestcup.{table}")


def at_work(url, processes, workers):
    words = [NESTCUP, "recompute", "--from", url, "--workers", str(workers), "--lease", "30",
             "--json"]
    return [subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            for _ in range(processes)]


def rate(server, url, processes, workers, time_s):
    """Runs a second, from the first that was put down on."""
    begin_anew(server)
    begun = time.monotonic()
    working = at_work(url, processes, workers)
    try:
        while one(server, "SELECT count(*) FROM nestcup.task WHERE done_at IS NOT NULL") == "0":
            assert all(process.poll() is None for process in working), "ended before it began"
            assert time.monotonic() - begun < 120, "nothing is put down"
            time.sleep(0.05)
        waited_s = time.monotonic() - begun
        time.sleep(time_s)
    finally:
        cpu_s = 0.0
        for process in working:
            process.kill()
            _, _, used = os.wait4(process.pid, 0)
            process.returncode = -9
            cpu_s += used.ru_utime + used.ru_stime
    ((count, span_s),) = server.sql("SELECT count(*) - 1, extract(epoch FROM max(done_at) - "
                                    "min(done_at)) FROM nestcup.task WHERE done_at IS NOT NULL")
    wrong = one(server, "SELECT count(*) FROM nestcup.task WHERE outcome <> 'changed'")
    assert wrong == "0", f"{wrong} were not worked out"
    found = int(count) / float(span_s)
    print(f"{processes} process(es), {workers} worker(s) each: {found:6.1f} runs/s "
          f"(first after {waited_s:.1f} s, {count} in {float(span_s):.0f} s, "
          f"{1000 * cpu_s / (int(count) + 1):.0f} ms of a processor a run)", flush=True)
    return found


def whole(server, url, runs):
    """Two processes work until nothing is left to do; every run was worked out anew, once."""
    begin_anew(server)
    begun = time.monotonic()
    working = at_work(url, 2, 1)
    while any(process.poll() is None for process in working):
        time.sleep(60 if runs > 20_000 else 1)
        done = one(server, "SELECT count(*) FROM nestcup.task WHERE done_at IS NOT NULL")
        print(f"  {done} of {runs} after {time.monotonic() - begun:.0f} s", flush=True)
    took_s = time.monotonic() - begun
    assert [process.returncode for process in working] == [0, 0]
    changed = "SELECT count(*), count(DISTINCT run) FROM nestcup.task WHERE outcome = 'changed'"
    assert server.sql(changed) == [[str(runs)] * 2]
    assert one(server, "SELECT count(*) FROM nestcup.recomputed") == str(runs)
    print(f"all {runs} by two processes: {took_s:.0f} s, {runs / took_s:.1f} runs/s")


def listed(url, *words):
    """Seconds and the most memory (MB) of a list. A process of its own measures it alone."""
    script = ("import resource, subprocess, sys; "
              "subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL); "
              "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)")
    begun = time.monotonic()
    done = subprocess.run([sys.executable, "-c", script, NESTCUP, "runs", "--from", url, *words],
                          capture_output=True, text=True, check=True)
    print(f"runs {' '.join(words):22} {time.monotonic() - begun:6.2f} s  "
          f"{int(done.stdout) / 1024:6.0f} MB", flush=True)


def main():
    runs = int(COUNTS[0]) if COUNTS else 10_000
    time_s = float(COUNTS[1]) if len(COUNTS) > 1 else 30.0
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        with Server(place) as server:
            url = fill(server, pathlib.Path(keeper).resolve(), runs)
            listed(url, "--last", "100")
            listed(url, "--only", "bench-4", "--last", "100")
            listed(url, "--course", "none of this title", "--last", "100")
            listed(url, "--json")
            listed(url)
            alone = rate(server, url, 1, 1, time_s)
            threads = rate(server, url, 1, 2, time_s)
            both = rate(server, url, 2, 1, time_s)
            print(f"scaling: {threads / alone:.2f} by two threads, {both / alone:.2f} by two "
                  f"processes ({os.cpu_count()} processors)")
            if "--whole" in sys.argv:
                whole(server, url, runs)


if __name__ == "__main__":
    main()

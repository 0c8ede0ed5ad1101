#!/usr/bin/env python3
"""Work over the runs of a database that several processes share: nothing is left out, nothing is
done twice but what a killed worker had, after its lease. Records come out as the bench's own
`nestcup recompute` makes them; what the benches brought stays as it was.

shared_test.py [RUNS [KILLS [SEED]]]: runs of each of two benches, and kills (SIGKILL).
"""

import json
import pathlib
import random
import shutil
import subprocess
import sys
import tempfile
import time

from course import NESTCUP, check_carried, nestcup, prepared, strike, synced
from server import Server
from shared_course import earlier_bench, members, password_env

LEASE_S = 10
WORKERS = 2
AT_ONCE = 8  # tasks_at_once (core/notebook/postgres/shared_work.cpp)

# Every taking of a task that somebody had, with what was left of the lease.
AUDIT = """
CREATE TABLE public.taken (kind text, run uuid, by text, had text, left_s double precision);
GRANT INSERT ON public.taken TO PUBLIC;
CREATE FUNCTION public.note_taken() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.attempts > OLD.attempts THEN
    INSERT INTO public.taken VALUES (NEW.kind, NEW.run, NEW.worker, OLD.worker,
      extract(epoch FROM OLD.lease_until - now()));
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER note_taken BEFORE UPDATE ON nestcup.task
  FOR EACH ROW EXECUTE FUNCTION public.note_taken();
"""


def begun(url, env, *words):
    return subprocess.Popen([NESTCUP, *words, "--from", url, "--workers", str(WORKERS), "--lease",
                             str(LEASE_S), "--json"], stdout=subprocess.PIPE,
                            stderr=subprocess.PIPE, text=True, env=env)


def ended(process):
    out, errors = process.communicate(timeout=300)
    assert process.returncode == 0, errors
    return json.loads(out)


def check_shared(server, kind, runs, killed):
    """All done once; what was taken twice had been a killed worker's, and its lease had run out."""
    ((count, done),) = server.sql(
        f"SELECT count(*), count(done_at) FROM nestcup.task WHERE kind = '{kind}'")
    assert (int(count), int(done)) == (runs, runs), (count, done)
    again = server.sql(f"SELECT had, left_s FROM public.taken WHERE kind = '{kind}' "
                       "AND had IS NOT NULL")
    assert all(float(left_s) < 0 for _, left_s in again), again
    assert all(any(f":{pid}." in had for pid in killed) for had, _ in again), (killed, again)
    assert len(again) <= len(killed) * WORKERS * AT_ONCE, again
    ((first,),) = server.sql(f"SELECT count(*) FROM public.taken WHERE kind = '{kind}' "
                             "AND had IS NULL")
    assert int(first) == runs, (first, runs)
    return len(again)


def without_revision(record):
    return {key: value for key, value in record.items() if key != "revision"}


def check_records(server, url, folders, home):
    """Those that the stores' own `recompute` makes; and the program's list has SQL's figures."""
    made = {row[0]: json.loads(row[1]) for row in
            server.sql("SELECT run, record FROM nestcup.recomputed")}
    for folder in folders:
        copy = home / f"copy of {folder.name}"
        copy.mkdir()
        shutil.copy(folder / "bench.db", copy / "bench.db")
        call = nestcup("recompute", "--store", copy / "bench.db")
        assert call.returncode == 0, call.stderr
        for line in nestcup("runs", "--json", "--store", copy / "bench.db").stdout.splitlines():
            record = json.loads(line)
            if record["status"] == "struck":
                assert record["id"] not in made
            else:
                ours = without_revision(made.pop(record["id"]))
                assert ours == without_revision(record), record["id"]
    assert not made, made
    rows = server.sql("SELECT id, rise_k FROM nestcup.latest_run ORDER BY number")
    lines = nestcup("runs", "--json", "--from", url).stdout.splitlines()
    listed = [(run["id"], run["corrected_rise_K"]["value"]) for run in map(json.loads, lines)]
    assert listed == [(run, float(rise)) for run, rise in rows]


def kill_some(server, url, env, kills, chance):
    """Processes killed one after the other, each when it had taken tasks. @return the processes
    that were killed at work"""
    at_work = []
    for _ in range(kills):
        with begun(url, env, "recompute") as process:
            until = time.monotonic() + 120
            while server.sql(f"SELECT count(*) FROM public.taken WHERE by LIKE "
                             f"'%:{process.pid}.%'") == [["0"]]:
                assert process.poll() is None, process.communicate()
                assert time.monotonic() < until, "takes nothing"
                time.sleep(0.01)
            time.sleep(chance.uniform(0.0, 0.25))
            if process.poll() is None:
                at_work.append(process.pid)
            process.kill()
            process.communicate()
    return at_work


def newer_from_bench(server, url, folder):
    """The bench's next revision counts, and is one more task."""
    strike(folder, 1, "cup was cracked")
    synced(folder)
    ((run,),) = server.sql("SELECT id FROM nestcup.run JOIN nestcup.bench USING (book) WHERE "
                           "number_at_bench = 1 ORDER BY run.number LIMIT 1")
    record = json.loads(nestcup("show", run, "--json", "--from", url).stdout)
    assert (record["status"], record["revision"]) == ("struck", 2), record
    more = json.loads(nestcup("recompute", "--from", url, "--json").stdout)
    assert more["done_here"] == 1, more


def main():
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 24
    kills = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    chance = random.Random(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        home = pathlib.Path(keeper).resolve()
        with Server(place) as server:
            prepared(server)
            members(server)
            server.sql(AUDIT)
            env = password_env(home, "sesame")
            url = server.url(user="paul")
            folders = [earlier_bench(home / f"bench{i}", server.url(), runs, i) for i in range(2)]
            for folder in folders:
                synced(folder)
            brought = server.sql("SELECT * FROM nestcup.revision ORDER BY run, revision")

            at_work = kill_some(server, url, env, kills, chance)
            assert at_work, "all kills came too late"
            both = [ended(one) for one in [begun(url, env, "recompute") for _ in range(2)]]
            again = check_shared(server, "recompute", 2 * runs, at_work)
            assert again > 0, "no killed process held a task"
            print(f"{len(at_work)} killed at work: {again} runs taken again after their leases; "
                  f"{both[0]['done_here']} and {both[1]['done_here']} done by the others")
            check_records(server, server.url(), folders, home)

            both = [ended(one) for one in [begun(url, env, "verify") for _ in range(2)]]
            assert sum(one["done_here"] for one in both) == 2 * runs, both
            assert check_shared(server, "verify", 2 * runs, []) == 0
            assert {(one["well"], one["wrong"]) for one in both} == {(2 * runs, 0)}, both
            print(f"verified: {both[0]['done_here']} and {both[1]['done_here']}")

            assert server.sql("SELECT * FROM nestcup.revision ORDER BY run, revision") == brought
            check_carried(server, folders)
            idle = json.loads(nestcup("recompute", "--from", server.url(), "--json").stdout)
            assert idle["done_here"] == 0, idle
            newer_from_bench(server, server.url(), folders[0])
            changed_reading(server, env, url)


def changed_reading(server, env, url):
    """A reading that somebody changed in the database is found, and said."""
    server.sql("UPDATE nestcup.trace SET temperature_degC[5] = temperature_degC[5] + 0.5 "
               "WHERE run = (SELECT id FROM nestcup.run ORDER BY number OFFSET 2 LIMIT 1) "
               "AND probe = 0")
    call = nestcup("verify", "--from", url, "--workers", 1, "--again", "--json", env=env)
    assert call.returncode == 65, call.stderr
    found = json.loads(call.stdout)
    ((run,),) = server.sql("SELECT id FROM nestcup.run ORDER BY number OFFSET 2 LIMIT 1")
    assert [one["id"] for one in found["problems"]] == [run], found
    assert found["wrong"] == 1, found


if __name__ == "__main__":
    main()

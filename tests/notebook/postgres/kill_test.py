#!/usr/bin/env python3
"""Kills at random moments while many owed runs go to a database: of the bench's program (SIGKILL),
and of the whole server, as if its machine had lost its power. Whatever is left, going on brings
everything, once and whole; and what the bench was told has arrived is still there.

kill_test.py [KILLS [SEED]]: as many kills as wanted, every other one of the server.
"""

import pathlib
import random
import shutil
import subprocess
import sys
import tempfile
import time

from course import (NESTCUP, check_carried, made_bench, prepared, rows, strike, synced, write_bench)
from server import Server

RUNS = 30


def check_told(server, folder):
    """Whatever the store notes as carried is in the database, with its readings and its link."""
    carried = {(run, str(revision)) for run, revision in rows(
        folder, "SELECT run.id, link.revision FROM owed JOIN link ON link = link.number "
                "JOIN run ON run.number = link.run WHERE state = 'carried'")}
    there = {tuple(row) for row in server.sql(
        "SELECT run, revision FROM nestcup.revision AS r WHERE "
        "EXISTS (SELECT FROM nestcup.trace AS t WHERE t.run = r.run) AND "
        "EXISTS (SELECT FROM nestcup.link AS l WHERE l.run = r.run AND l.revision = r.revision)")}
    assert carried <= there, f"{carried - there} were told to have arrived"
    whole = server.sql("SELECT count(*) FROM nestcup.revision")
    assert whole == [[str(len(there))]], "a revision without readings or link"


def killed(server, folder, after_s, is_server):
    """@return whether the kill came before the end"""
    with subprocess.Popen([NESTCUP, "sync", "--bench", folder / "bench.toml"],
                          stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) as process:
        try:
            process.wait(after_s)
        except subprocess.TimeoutExpired:
            if is_server:
                server.kill()
                process.wait(120)
                server.start()
            else:
                process.kill()
                process.wait()
            return True
        assert process.returncode == 0, process.stderr.read()
    return False


def main():
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else time.time_ns() % 1_000_000
    chance = random.Random(seed)
    print(f"seed {seed}", flush=True)
    done = of_server = benches = 0
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        home = pathlib.Path(keeper).resolve()
        source = made_bench(home / "source", "postgres://127.0.0.1/none", RUNS, kinds=2)
        for number in range(1, RUNS + 1, 3):
            strike(source, number)
        with Server(place) as server:
            prepared(server)
            while done < kills:
                folder = home / "bench"
                shutil.copytree(source, folder)
                write_bench(folder, server.url())
                server.sql("TRUNCATE nestcup.bench, nestcup.sheet CASCADE")
                benches += 1
                # Mostly short, so that one bench is killed many times on its way.
                while done < kills:
                    is_server = done % 2 == 1
                    if not killed(server, folder, chance.expovariate(1 / 0.15), is_server):
                        break
                    done += 1
                    of_server += is_server
                    check_told(server, folder)
                synced(folder)
                check_carried(server, [folder])
                shutil.rmtree(folder)
    print(f"{done} kills, {of_server} of the server, {benches} benches of {RUNS} runs, "
          f"{time.monotonic() - begun:.0f} s: all whole")


if __name__ == "__main__":
    main()

#!/usr/bin/env python3
"""A store that is damaged. First the log of a daemon that was killed in the middle of its work, cut
at every 512 bytes and with one byte flipped in each frame: what is opened is always a prefix of
what was committed. Then the file itself, damaged at random: the bench logs on, in that store or in
a new one beside it, and nothing of the old one is lost.

wal_test.py [DAMAGES [SEED]]: so many damaged files. The short form cuts at fewer places.
"""

import contextlib
import json
import os
import pathlib
import shutil
import signal
import sqlite3
import subprocess
import tempfile

from campaign import (Campaign, Wrong, check_run, check_verified, must, nestcup,
                      stored_runs)
from clocks import HOUR_S, REALTIME, Clocks
from rig import Rig, integrity, wait_for

LOG_PREFIX = os.environ["NESTCUP_LOG_PREFIX"]
CUT_EVERY, SHORT_CUT_EVERY = 512, 17 * 512
PAGE = 4096
AFTER_S = 60
NEW_READINGS = 12
# Places of the header by which a file is another program's, or a newer version's: only one who
# looks inside could say that it is damage (https://www.sqlite.org/fileformat2.html, section 1.3).
VERSION_AT = range(60, 64)


def pattern(folder):
    """Leaves the store of a daemon that was killed soon after its run, with the run in the log."""
    with Rig("one-trial.toml", after_period_s=AFTER_S) as rig:
        rig.start()
        rig.wait_run()
        before = rig.status()["store"]["commits"]
        wait_for(lambda: rig.status()["store"]["commits"] > before + 1, "commits after the run")
        rig.daemon.end(signal.SIGKILL)
        for end in ("", "-wal"):
            shutil.copy(f"{rig.store_path}{end}", folder / f"bench.db{end}")


def log_everywhere(folder, campaign):
    every = SHORT_CUT_EVERY if campaign.is_short else CUT_EVERY
    done = subprocess.run([LOG_PREFIX, folder, str(every)], capture_output=True, text=True,
                          check=False)
    must(done.returncode == 0, f"log_prefix: {done.stderr[-500:]}")
    told = json.loads(done.stdout)
    must(told["all_runs"] == 1 and told["fewest_readings"] < told["most_readings"] <=
         told["all_readings"], f"not the log that was wanted: {told}")
    for name in ("cuts", "flips", "wrong", "fewest_readings", "most_readings"):
        campaign.count(f"log_{name}", told[name])


def moved(folder):
    """The pattern with its log moved into the file, so that damage meets all of it."""
    with contextlib.closing(sqlite3.connect(folder / "bench.db")) as store:
        store.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return (folder / "bench.db").read_bytes()


def flipped(data, chance):
    data = bytearray(data)
    for _ in range(chance.choice((1, 3, 30, 300))):
        at = chance.randrange(len(data))
        if at not in VERSION_AT:
            data[at] ^= 1 << chance.randrange(8)
    return bytes(data)


def cut(data, chance):
    return data[:chance.randrange(len(data))]


def zeroed(data, chance):
    data = bytearray(data)
    for _ in range(chance.choice((1, 2, 6))):
        at = chance.randrange(len(data) // PAGE) * PAGE
        data[at:at + PAGE] = bytes(PAGE)
    return bytes(data)


def scrambled(data, chance):
    """Pages in places of others, as a card does whose table of blocks is broken."""
    pages = [data[at:at + PAGE] for at in range(0, len(data), PAGE)]
    for _ in range(chance.choice((1, 2, 6))):
        pages[chance.randrange(len(pages))] = chance.choice(pages)
    return b"".join(pages)


def headless(data, chance):
    return chance.randbytes(chance.choice((16, 100, PAGE))) + data[PAGE:]


def emptied(_data, _chance):
    return b""


DAMAGES = (flipped, flipped, flipped, cut, zeroed, scrambled, headless, emptied)


def new_readings(rig):
    """Readings of the newest session, in a store that nobody writes. The newest row may be on a
    page that is damaged, so it is not asked for by number."""
    store = rig.look()
    try:
        starts = [row[0] for row in store.execute("SELECT axis_us FROM session")]
        return store.execute("SELECT count(*) FROM reading WHERE time_us >= ?",
                             (max(starts),)).fetchone()[0]
    finally:
        store.close()


def set_aside(rig):
    return sorted(path for path in rig.folder.glob("bench.db.damaged-*")
                  if not path.name.endswith(("-wal", "-shm")))


def damaged_start(data, has_log):
    """A bench whose store is this, started. @return counts"""
    with Rig("still.toml") as rig:
        rig.store_path.write_bytes(data)
        pathlib.Path(f"{rig.store_path}.lock").write_text("1 nestcupd\n", encoding="ascii")
        if has_log is not None:
            pathlib.Path(f"{rig.store_path}-wal").write_bytes(has_log)
        rig.start()
        wait_for(lambda: rig.status()["probes"][0]["readings"] >= NEW_READINGS, "readings")
        shown = set_aside(rig)  # some damage shows only when the daemon ends
        known, status = rig.status()["probes"][0]["readings"], rig.status()
        code, _ = rig.daemon.end()
        must(code == 0, f"exit code {code}: {rig.daemon.log()[-400:]}")
        must(new_readings(rig) >= known, f"{new_readings(rig)} of {known} readings stored")
        aside = set_aside(rig)
        if not aside:
            return {"kept": 1}
        must(len(aside) == 1, f"{len(aside)} files set aside")
        check_set_aside(rig, aside[0], data, has_log, status if shown else None)
        return {"set_aside": 1}


def check_set_aside(rig, aside, data, has_log, status):
    must("store damaged: " in rig.daemon.log() and str(aside) in rig.daemon.log(),
         "the log does not say what was set aside")
    if not data and not aside.exists():
        return
    must(aside.read_bytes() == data, "what was set aside is not what was there")
    if has_log:
        must(pathlib.Path(f"{aside}-wal").read_bytes() == has_log, "its log is another one")
    if status:
        must(any("set aside as" in problem for problem in status["problems"]), status["problems"])
        must(not status["well"], "the status says that all is well")
    store = rig.look()
    must(integrity(store) == ["ok"], f"the new store: {integrity(store)}")
    events = store.execute("SELECT count(*) FROM event WHERE kind = 'store-damaged'").fetchone()[0]
    store.close()
    must(events == 1, f"{events} events tell of the damage")


def damaged_record_page(folder):
    """Damage that shows only when a run is stored, with readings of that run behind it: they and
    the run go into the new store."""
    with Rig("one-trial.toml", after_period_s=AFTER_S) as rig:
        shutil.copy(folder / "bench.db", rig.store_path)
        with contextlib.closing(sqlite3.connect(rig.store_path)) as store:
            root = store.execute("SELECT rootpage FROM sqlite_master WHERE name = 'run_record'"
                                 ).fetchone()[0]
        with open(rig.store_path, "r+b") as file:
            file.seek((root - 1) * PAGE)
            file.write(b"\xa5" * PAGE)
        pathlib.Path(f"{rig.store_path}.lock").write_text("1 nestcupd\n", encoding="ascii")
        rig.start()
        must(not set_aside(rig), "the damage was to be found later")
        wait_for(lambda: set_aside(rig), "the damaged store to be set aside")
        wait_for(lambda: not rig.status()["store"]["error"], "a new store")
        record = rig.wait_run()["record"]
        must(len(set_aside(rig)) == 1, "more than one was set aside")
        known = rig.status()["probes"][0]["readings"]
        code, _ = rig.daemon.end()
        must(code == 0, rig.daemon.log()[-500:])
        must([run["id"] for run in stored_runs(rig)] == [record["id"]], "the run is not there")
        check_verified(rig)
        must(new_readings(rig) >= known, "readings are missing")
        return {"set_aside_in_a_run": 1, **check_run(rig, record)}


def refused(data, title, code, words):
    """Neither a newer version's store nor another program's file is touched."""
    with Rig("still.toml") as rig:
        rig.store_path.write_bytes(data)
        done = subprocess.run(rig.daemon_arguments(), capture_output=True, text=True, timeout=60,
                              check=False)
        lines = done.stderr.strip().splitlines()
        must(done.returncode == code and len(lines) == 1 and words in lines[0],
             f"{title}: exit code {done.returncode}: {done.stderr[-300:]}")
        must(rig.store_path.read_bytes() == data and not set_aside(rig), f"{title}: was touched")
        return {"refused": 1}


def newer(data):
    return data[:VERSION_AT.start] + (99).to_bytes(4, "big") + data[VERSION_AT.stop:]


def rescued(folder):
    """The words of the log are true: after `nestcup import` the runs are there again."""
    with Rig("still.toml") as rig:
        with open(rig.bench_path, "a", encoding="utf-8") as file:
            file.write('\n[[notebook]]\nkind = "folder"\npath = "notebook"\n')
        shutil.copy(folder / "bench.db", rig.store_path)
        done = nestcup("sync", "--bench", rig.bench_path)
        must(done.returncode == 0, done.stderr)
        rig.store_path.write_bytes(b"\0" * len((folder / "bench.db").read_bytes()))
        rig.start_board()
        # The pattern was made on a fast clock, which is ahead of the machine's: at a bench the new
        # store begins behind the end of the old one.
        clocks = Clocks(rig.folder / "clocks")
        clocks.step(REALTIME, HOUR_S)
        rig.start_daemon(env=clocks.environment())
        wait_for(lambda: rig.status()["probes"][0]["readings"] >= NEW_READINGS, "readings")
        rig.daemon.end()
        must(not stored_runs(rig), "runs out of nowhere")
        done = nestcup("import", "--bench", rig.bench_path, rig.folder / "notebook")
        must(done.returncode == 0, done.stdout + done.stderr)
        must(len(stored_runs(rig)) == 1, "the run did not come back")
        check_verified(rig)
        check_readings_sound(rig)
        return {"rescued": 1}


def check_readings_sound(rig):
    store = rig.look()
    must(integrity(store) == ["ok"], "not whole after the import")
    store.close()


def main():
    campaign = Campaign("wal", short=12)
    with tempfile.TemporaryDirectory() as keeper:
        folder = pathlib.Path(keeper)
        pattern(folder)
        log = (folder / "bench.db-wal").read_bytes()
        log_everywhere(folder, campaign)
        data = moved(folder)
        for number in range(int(campaign.amount)):
            damage = DAMAGES[number % len(DAMAGES)]
            harmed = damage(data, campaign.chance)
            has_log = log if damage is emptied else None
            campaign.tried(f"{damage.__name__} {number + 1}", damaged_start, harmed, has_log)
        campaign.tried("found in a run", damaged_record_page, folder)
        campaign.tried("rescued", rescued, folder)
        campaign.tried("newer", refused, newer(data), "a newer version", 65, "newer version")
        campaign.tried("foreign", refused, b"time_s,cup_degC\n0.0,21.5\n" * 9, "a trace", 65,
                       "is no store")
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"wal_test.py: {failure}") from failure

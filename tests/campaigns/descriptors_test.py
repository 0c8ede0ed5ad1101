#!/usr/bin/env python3
"""The daemon out of file descriptors, while many callers hold connections: sampling and storing go
on, the page lets nobody in, nothing spins, and all recovers by itself.

descriptors_test.py [ROUNDS [SEED]]. In every other round a cable is pulled out, too, which nobody
can open again as long as there are no descriptors.
"""

import contextlib
import os
import resource
import sqlite3
import time

from campaign import (Campaign, Wrong, check_readings, check_run, check_verified, must,
                      stored_runs)
from rig import PATIENCE_S, wait_for
from web import PageRig

SPEED = 15.0
AFTER_S = 60
CALLERS = 60
MOST_CPU_SHARE = 0.5
UNPLUGGED_AT_S = 160.0  # of unplug.toml


def open_files(pid):
    return len(os.listdir(f"/proc/{pid}/fd"))


def cpu_s(pid):
    with open(f"/proc/{pid}/stat", encoding="ascii") as file:
        fields = file.read().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def stored(rig):
    """Readings in the store, looked at from outside: the daemon answers nobody now."""
    with contextlib.closing(sqlite3.connect(f"file:{rig.store_path}?mode=ro", uri=True)) as store:
        return store.execute("SELECT rows FROM reading_total").fetchone()[0]


def limit_files(pid, most):
    _, hard = resource.prlimit(pid, resource.RLIMIT_NOFILE)
    resource.prlimit(pid, resource.RLIMIT_NOFILE, (most or hard, hard))


def crowd(rig):
    """Connections that say nothing: those that are let in, and those that wait at the door."""
    lines = []
    for _ in range(CALLERS):
        with contextlib.suppress(OSError):
            lines.append(rig.line(timeout_s=2))
    return lines


def out_of_descriptors(rig, chance, campaign):
    """No descriptor is left for a while."""
    pid = rig.daemon.process.pid
    limit_files(pid, open_files(pid) + chance.randrange(0, 5))
    lines = crowd(rig)
    try:
        before, cpu_before, begun = stored(rig), cpu_s(pid), time.monotonic()
        time.sleep(chance.uniform(2.0, 4.0))
        took_s = time.monotonic() - begun
        share = (cpu_s(pid) - cpu_before) / took_s
        campaign.at_most("cpu_share", round(share, 3))
        must(share < MOST_CPU_SHARE, f"{share:.0%} of a processor while out of descriptors")
        must(rig.daemon.runs(), rig.daemon.log()[-500:])
        return stored(rig) - before, took_s
    finally:
        for line in lines:
            line.close()
        limit_files(pid, None)


def lets_in(rig):
    with contextlib.suppress(OSError):
        answer = rig.get("/v1/status")
        return answer is not None and answer.status == 200
    return False


def arrived(rig):
    return len(list((rig.folder / "notebook").glob("*/run.json"))) == 1


def round_of(number, campaign):
    chance, unplugs = campaign.chance, number % 2 == 1
    with PageRig("unplug.toml" if unplugs else "one-trial.toml", speed=SPEED,
                 after_period_s=AFTER_S) as rig:
        with open(rig.bench_path, "a", encoding="utf-8") as bench:
            bench.write('\n[[notebook]]\nkind = "folder"\npath = "notebook"\n')
        rig.start()
        if unplugs:
            wait_for(lambda: rig.truth_path.exists() and
                     rig.scenario_s() > UNPLUGGED_AT_S - 10, "the cable")
        else:
            rig.wait_state("running")
        added, took_s = out_of_descriptors(rig, chance, campaign)
        must(unplugs or added >= 0.5 * took_s * rig.speed / 0.5,
             f"{added} readings stored in {took_s:.1f} s")
        wait_for(lambda: lets_in(rig), "the page to let people in again")
        wait_for(lambda: rig.status()["ports"][0]["state"] == "open", "the port")
        record = rig.wait_run()["record"]
        wait_for(lambda: arrived(rig), "the run in the notebook", 2 * PATIENCE_S)
        known = rig.status()["probes"][0]["readings"]
        code, _ = rig.daemon.end()
        must(code == 0, rig.daemon.log()[-500:])
        must(stored_runs(rig)[0]["id"] == record["id"], "another run")
        readings = stored(rig) if unplugs else check_readings(rig, known)
        must(readings >= known, f"{readings} of {known} readings")
        check_verified(rig)
        return {"readings_stored_meanwhile": added, "rounds": 1, **check_run(rig, record)}


def main():
    campaign = Campaign("descriptors", short=1)
    for number in range(int(campaign.amount)):
        campaign.tried(f"round {number + 1}", round_of, number, campaign)
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"descriptors_test.py: {failure}") from failure

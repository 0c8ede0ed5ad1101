#!/usr/bin/env python3
"""The daemon on a disk that is full, fails, goes read-only, is slow or stands still: readings go on
and are held, status and log say so, all is written when the disk works again, and the run that was
under way is finished rightly.

disk_test.py [ROUNDS [SEED]]: each round is every case once, at random moments of a run. Without
rights to mount anything, failing writes and syncs alone are left.
"""

import concurrent.futures
import signal
import time

from campaign import (Campaign, Wrong, check_readings, check_run, check_verified, must,
                      stored_runs)
from disks import DiskRig, in_own_mounts
from faults import read_log, surroundings
from rig import Rig, wait_for

AFTER_S = 60
MOMENTS = ("before", "rise", "after")
# Held readings are tried again every second.
RECOVERY_S = 15.0


def wait_moment(rig, moment):
    if moment == "before":
        wait_for(lambda: rig.status()["probes"][0]["readings"] > 60, "readings")
    elif moment == "rise":
        rig.wait_state("running")
    else:
        rig.wait_after_period(AFTER_S / 4)


def store_status(rig):
    return rig.status()["store"]


def readings_of(rig):
    return rig.status()["probes"][0]["readings"]


def fails_loudly(rig, for_s):
    """The store cannot be written: the status says so, and readings go on. @return most held"""
    wait_for(lambda: store_status(rig)["error"], "a word of the failing store")
    status = rig.status()
    must(not status["well"], "the status says that all is well")
    must(any("store: " in problem for problem in status["problems"]), status["problems"])
    before, most = readings_of(rig), 0
    time.sleep(for_s)
    most = store_status(rig)["held_readings"]
    must(readings_of(rig) - before >= 0.5 * for_s * rig.speed / 0.5, "readings do not go on")
    must("held in memory" in rig.daemon.log(), "the log says nothing")
    return most


def recovers(rig):
    wait_for(lambda: not store_status(rig)["error"] and store_status(rig)["held_readings"] < 10,
             "everything held written", RECOVERY_S)
    must("writing works again" in rig.daemon.log(), "the log does not say that it works again")


def finishes(rig, counts, lost=0):
    """The run ends, and everything is there."""
    rig.wait_run()
    known, status = readings_of(rig), store_status(rig)
    must(status["lost_readings"] == 0, f"{status['lost_readings']} readings lost")
    code, _ = rig.daemon.end()
    must(code == 0, rig.daemon.log()[-500:])
    counts["readings"] = check_readings(rig, known)
    check_verified(rig)
    runs = stored_runs(rig)
    must(len(runs) == 1, f"{len(runs)} runs in place of one")
    return {**counts, **check_run(rig, runs[0]), "readings_lost": lost}


def full(kind, moment, for_s):
    with DiskRig("one-trial.toml", disk=kind, after_period_s=AFTER_S) as rig:
        rig.start()
        wait_moment(rig, moment)
        rig.disk.fill()
        held = fails_loudly(rig, for_s)
        rig.disk.make_room()
        recovers(rig)
        return finishes(rig, {"full": 1, "held": held})


def started_on_a_full_disk(kind, moment, number):
    """Ended (or killed) on a full disk and started again there."""
    with DiskRig("one-trial.toml", disk=kind, after_period_s=AFTER_S) as rig:
        rig.start()
        wait_moment(rig, moment)
        rig.disk.fill()
        code, _ = rig.daemon.end(number)
        must(code in (0, 74, -signal.SIGKILL), f"exit code {code}: {rig.daemon.log()[-300:]}")
        before = check_readings(rig)
        rig.start_daemon()
        held = fails_loudly(rig, 1.0)
        rig.disk.make_room()
        recovers(rig)
        counts = finishes(rig, {"started_full": 1, "held": held})
        must(counts["readings"] > before, "nothing was added")
        return counts


def read_only(kind, moment):
    """The kernel makes the disk read-only; the store is whole when it is mended."""
    with DiskRig("one-trial.toml", disk=kind, after_period_s=AFTER_S) as rig:
        rig.start()
        wait_moment(rig, moment)
        time.sleep(0.5)
        committed = store_status(rig)["committed_readings"]
        rig.disk.fail()
        held = fails_loudly(rig, 0.5)
        code, _ = rig.daemon.end()
        must(code == 74, f"exit code {code} with readings that could not be written")
        must("readings could not be written" in rig.daemon.log(), "lost readings are not told")
        rig.disk.repair()
        must(check_readings(rig) >= committed, "committed readings are gone")
        rig.start_daemon()
        return finishes(rig, {"read_only": 1}, lost=held)


def frozen(kind, moment, for_s):
    """Writes neither succeed nor fail: nobody but the writer waits."""
    with DiskRig("one-trial.toml", disk=kind, after_period_s=AFTER_S) as rig:
        rig.start()
        wait_moment(rig, moment)
        rig.disk.freeze()
        try:
            before = readings_of(rig)
            time.sleep(for_s)
            must(readings_of(rig) - before >= 0.5 * for_s * rig.speed / 0.5,
                 "readings wait for the disk")
            held = store_status(rig)["held_readings"]
        finally:
            rig.disk.thaw()
        wait_for(lambda: store_status(rig)["held_readings"] < 10, "all written", RECOVERY_S)
        return finishes(rig, {"frozen": 1, "held": held})


def failing(title, fault):
    """Calls of the kernel fail: every n-th, or all for a time."""
    with Rig("one-trial.toml", after_period_s=AFTER_S) as rig:
        log = rig.folder / "steps"
        rig.start_board()
        rig.start_daemon(env=surroundings([rig.store_path], log, **fault))
        counts = finishes(rig, {title: 1})
        hit = sum(step.had_fault() for step in read_log(log))
        must(hit > 0, "no call had the fault")
        return {**counts, "failed_calls": hit}


def slow(ms):
    """Every sync takes so long; sampling must not know of it."""
    with Rig("one-trial.toml", after_period_s=AFTER_S) as rig:
        rig.start_board()
        rig.start_daemon(env=surroundings([rig.store_path], rig.folder / "steps", at=20,
                                          more="forever", kind="slow", ms=ms, calls=["sync"]))
        wait_for(lambda: store_status(rig)["longest_commit_ms"] >= ms, "a slow commit")
        return finishes(rig, {"slow_syncs": 1})


def steps_to_ready(call):
    """How many writes or syncs a daemon makes until it is ready."""
    with Rig("one-trial.toml") as rig:
        log = rig.folder / "steps"
        rig.start_board()
        rig.start_daemon(env=surroundings([rig.store_path], log, calls=[call]))
        return len(read_log(log))


def faults_of_calls(chance):
    at = steps_to_ready("write") + chance.randrange(40, 120)
    sync_at = steps_to_ready("sync") + chance.randrange(20, 60)
    # A transaction of more writes than that would never end: a run's has some thirty.
    yield "write_every_nth", dict(at=at, every=chance.randrange(40, 120), more="forever",
                                  calls=["write"], errno=chance.choice(["EIO", "ENOSPC"]))
    yield "write_all_for_a_time", dict(at=at, more=chance.randrange(3, 9), calls=["write"],
                                       errno=chance.choice(["EIO", "EROFS", "ENOSPC"]))
    yield "sync_every_nth", dict(at=sync_at, every=chance.randrange(2, 6), more="forever",
                                 calls=["sync"])
    yield "sync_all_for_a_time", dict(at=sync_at, more=chance.randrange(3, 9), calls=["sync"])


def cases(chance, kinds):
    """Of one round, each as its title, a function and what it takes."""
    for kind in kinds:
        yield f"{kind} full", full, kind, chance.choice(MOMENTS), chance.uniform(0.5, 2.5)
        for number in (signal.SIGTERM, signal.SIGKILL):
            yield (f"{kind} full, {number.name} and started again", started_on_a_full_disk, kind,
                   chance.choice(MOMENTS[1:]), number)
    if "ext4" in kinds:
        yield "ext4 read-only", read_only, "ext4", chance.choice(MOMENTS)
        yield "ext4 frozen", frozen, "ext4", chance.choice(MOMENTS), chance.uniform(1.0, 3.0)
    for title, fault in faults_of_calls(chance):
        yield title, failing, title, fault
    yield "slow syncs", slow, chance.choice((200, 400, 800, 1500))


SHORT = ("tmpfs full", "tmpfs full, SIGKILL and started again", "sync_every_nth",
         "write_all_for_a_time")


def main():
    kinds = in_own_mounts()
    campaign = Campaign("disk", short=1)
    if not kinds:
        campaign.say("nothing can be mounted here: failing calls alone")
    with concurrent.futures.ThreadPoolExecutor(max_workers=2) as pool:
        for number in range(int(campaign.amount)):
            for title, case, *what in cases(campaign.chance, kinds):
                if campaign.is_short and title not in SHORT:
                    continue
                pool.submit(campaign.tried, f"round {number + 1}, {title}", case, *what)
    must(campaign.figures or campaign.problems, "no case was run")
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"disk_test.py: {failure}") from failure

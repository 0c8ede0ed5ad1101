#!/usr/bin/env python3
"""The daemon short of memory: in a control group whose limit lies near what it uses, and with
allocations that fail (RLIMIT_AS). It goes on, or it ends and recovers when it is started again;
what was committed stays.

memory_test.py [ROUNDS [SEED]]: a round is both, at random moments of a run. The control group needs
root and the memory controller of version 1.
"""

import concurrent.futures
import contextlib
import os
import pathlib
import resource
import signal
import threading
import time

from campaign import Campaign, Wrong, check_run, check_verified, must, stored_runs
from rig import integrity, wait_for
from web import PageRig

SPEED = 15.0
AFTER_S = 60
GROUPS = pathlib.Path("/sys/fs/cgroup/memory")
TARGETS = ("/v1/status", "/v1/runs", "/v1/readings?points=5000", "/", "/dygraph.min.js",
           "/v1/openapi.json", "/metrics")
# Killed for want of memory, or ended by itself where an allocation failed.
ENDS = (-signal.SIGKILL, -signal.SIGABRT, -signal.SIGSEGV, 70, 74)


def status_KiB(pid, key):
    for line in pathlib.Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines():
        if line.startswith(key + ":"):
            return int(line.split()[1])
    raise ProcessLookupError(key)


class Callers(threading.Thread):
    """Asks for much, at random, so that the daemon wants memory."""

    def __init__(self, rig, chance):
        super().__init__(daemon=True)
        self.rig, self.chance = rig, chance
        self.ended = threading.Event()
        self.start()

    def run(self):
        with concurrent.futures.ThreadPoolExecutor(max_workers=6) as pool:
            while not self.ended.wait(0.02):
                pool.submit(self.ask, self.chance.choice(TARGETS))

    def ask(self, target):
        with contextlib.suppress(OSError, ValueError):
            self.rig.get(target)

    def end(self):
        self.ended.set()
        self.join()


class Group:
    """A control group of this campaign's own."""

    def __init__(self):
        self.path = GROUPS / f"nestcup-campaign-{os.getpid()}"
        self.path.mkdir()

    def write(self, name, value):
        (self.path / name).write_text(str(value), encoding="ascii")

    def take(self, pid):
        self.write("cgroup.procs", pid)

    def used(self):
        return int((self.path / "memory.usage_in_bytes").read_text(encoding="ascii"))

    def limit(self, size):
        """Below what is used the kernel refuses: then it is as low as it goes."""
        with contextlib.suppress(OSError):
            self.write("memory.limit_in_bytes", size)

    def close(self):
        for _ in range(50):
            with contextlib.suppress(OSError):
                self.path.rmdir()
                return
            time.sleep(0.1)


def has_groups():
    try:
        Group().close()
        return True
    except OSError:
        return False


def in_a_group(rig, chance):
    """@return a function that ends the pressure"""
    group, pid = Group(), rig.daemon.process.pid
    group.take(pid)
    # What it has already is counted elsewhere; a few pages of it are enough for the limit to bite.
    group.limit(group.used() + chance.randrange(64, 1024) * 1024)

    def end():
        group.limit(-1)
        if not rig.daemon.runs():
            group.close()
    return end, group.close


def with_failing_allocations(rig, chance):
    pid = rig.daemon.process.pid
    size = (status_KiB(pid, "VmSize") + chance.randrange(0, 2048)) * 1024
    unlimited = resource.RLIM_INFINITY
    resource.prlimit(pid, resource.RLIMIT_AS, (size, unlimited))

    def end():
        with contextlib.suppress(ProcessLookupError):
            resource.prlimit(pid, resource.RLIMIT_AS, (unlimited, unlimited))
    return end, lambda: None


def under_pressure(rig, chance, pressure):
    """@return whether the daemon lived, and what it said that it had committed before"""
    committed = rig.status()["store"]["committed_readings"]
    end, close = pressure(rig, chance)
    callers = Callers(rig, chance)
    try:
        until = time.monotonic() + chance.uniform(1.5, 4.0)
        while time.monotonic() < until and rig.daemon.runs():
            time.sleep(0.05)
    finally:
        end()
        callers.end()
    lives = rig.daemon.runs()
    if not lives:
        code = rig.daemon.process.returncode
        must(code in ENDS, f"ended with {code}: {rig.daemon.log()[-300:]}")
        rig.start_daemon()
    return lives, committed, close


def case(pressure, chance):
    resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))
    with PageRig("one-trial.toml", speed=SPEED, after_period_s=AFTER_S) as rig:
        rig.start()
        if chance.random() < 0.5:
            wait_for(lambda: rig.status()["probes"][0]["readings"] > 60, "readings")
        else:
            rig.wait_state("running")
        lives, committed, close = under_pressure(rig, chance, pressure)
        wait_for(lambda: rig.status()["well"], "a bench that is well")
        record = rig.wait_run()["record"]
        code, _ = rig.daemon.end()
        close()
        must(code == 0, rig.daemon.log()[-500:])
        store = rig.look()
        must(integrity(store) == ["ok"], f"integrity: {integrity(store)}")
        readings = store.execute("SELECT count(*) FROM reading").fetchone()[0]
        store.close()
        must(readings >= committed, f"{readings} readings, {committed} were committed")
        check_verified(rig)
        must(len(stored_runs(rig)) == 1, f"{len(stored_runs(rig))} runs in place of one")
        return {"went_on": int(lives), "ended_and_recovered": int(not lives),
                "readings": readings, **check_run(rig, record)}


def main():
    campaign = Campaign("memory", short=1)
    kinds = {"failing allocations": with_failing_allocations}
    if has_groups():
        kinds["control group"] = in_a_group
    else:
        campaign.say("no control group can be made here")
    for number in range(int(campaign.amount)):
        for title, pressure in kinds.items():
            campaign.tried(f"round {number + 1}, {title}", case, pressure, campaign.chance)
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"memory_test.py: {failure}") from failure

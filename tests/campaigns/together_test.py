#!/usr/bin/env python3
"""Everything at once: hostile callers at the page, a notebook that fails, and at random a full
disk, a daemon that is killed, stopped, short of memory or of descriptors, and a board that is
silent. In the end the store is whole, and every mixing of the simulator's truth has its run, whose
rise is right or warned of, or lies where readings are missing.

together_test.py [SECONDS [SEED]]
"""

import concurrent.futures
import contextlib
import os
import resource
import signal
import threading
import time

from campaign import (Campaign, Wrong, check_verified, is_warned, must, rise_is_right,
                      stored_runs)
import attacks
from disks import Disked, in_own_mounts
from rig import integrity, wait_for
from web import PageRig

SPEED = 12.0
AFTER_S = 60
# A trial: the cup is filled anew, and some time later the other liquid is poured in.
CYCLE_S, MIXING_S = 240.0, 90.0
ATTACKERS = 3
ENDS = (-signal.SIGKILL, -signal.SIGABRT, -signal.SIGSEGV, 70, 74)
# Where a mixing had no chance: so much was missing so near to it, s of the bench.
MISSING_S, BEFORE_S, BEHIND_S = 3.0, 80.0, 130.0
CALM_S = 4.0

HEAD = """[scenario]
name = "together"
seed = 5
duration_s = {duration:.1f}
interval_s = 0.5
[room]
temperature_degC = 21.5
[cup]
heat_capacity_J_per_K = 237.0
temperature_degC = 20.9
leak_W_per_K = 0.125
stirring_W = 0.03
[[probe]]
name = "cup"
place = "cup"
lag_s = 4.0
noise_K = 0.008
step_K = 0.01
"""
TRIAL = """[[event]]
at_s = {begin:.1f}
what = "carry"
probe = "cup"
to = "air"
[[event]]
at_s = {filled:.1f}
what = "fresh cup"
heat_capacity_J_per_K = 237.0
temperature_degC = 20.9
leak_W_per_K = 0.125
stirring_W = 0.03
[[event]]
at_s = {dipped:.1f}
what = "carry"
probe = "cup"
to = "cup"
[[event]]
at_s = {mixing:.1f}
what = "mix"
trial = "warm"
pour_s = 2.0
added_J_per_K = 205.6
temperature_degC = 40.0
"""


class TogetherRig(Disked, PageRig):
    def __init__(self, trials, disk):
        super().__init__("one-trial.toml", disk=disk, speed=SPEED, after_period_s=AFTER_S,
                         page={"connections": 64})
        text = HEAD.format(duration=trials * CYCLE_S)
        for number in range(trials):
            begin = number * CYCLE_S
            text += TRIAL.format(begin=begin + 1.0, filled=begin + 6.0, dipped=begin + 12.0,
                                 mixing=begin + MIXING_S)
        self.scenario = self.folder / "scenario.toml"
        self.scenario.write_text(text, encoding="utf-8")
        with open(self.bench_path, "a", encoding="utf-8") as bench:
            bench.write('[[notebook]]\nkind = "folder"\npath = "notebook"\n')

    def revive(self):
        """Starts the daemon where it has ended. @return whether it had"""
        if self.daemon.runs():
            return False
        code = self.daemon.process.returncode
        must(code in ENDS, f"ended with {code}: {self.daemon.log()[-400:]}")
        self.start_daemon()
        return True


@contextlib.contextmanager
def full_disk(rig, _):
    rig.disk.fill()
    try:
        yield
    finally:
        rig.disk.make_room()


@contextlib.contextmanager
def killed(rig, _):
    rig.daemon.end(signal.SIGKILL)
    yield


@contextlib.contextmanager
def stopped(rig, chance):
    program = chance.choice((rig.daemon, rig.board)).process
    program.send_signal(signal.SIGSTOP)
    try:
        yield
    finally:
        program.send_signal(signal.SIGCONT)


@contextlib.contextmanager
def limited(rig, which, soft):
    pid = rig.daemon.process.pid
    before = resource.prlimit(pid, which)
    resource.prlimit(pid, which, (soft, before[1]))
    try:
        yield
    finally:
        with contextlib.suppress(ProcessLookupError):
            resource.prlimit(pid, which, before)


def few_files(rig, chance):
    files = len(os.listdir(f"/proc/{rig.daemon.process.pid}/fd"))
    return limited(rig, resource.RLIMIT_NOFILE, files + chance.randrange(3))


def little_memory(rig, chance):
    with open(f"/proc/{rig.daemon.process.pid}/statm", encoding="ascii") as file:
        size = int(file.read().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    return limited(rig, resource.RLIMIT_AS, size + chance.randrange(1 << 21))


@contextlib.contextmanager
def no_notebook(rig, _):
    """A file stands where the folder should be."""
    place, away = rig.folder / "notebook", rig.folder / "notebook.away"
    if place.is_dir():
        place.rename(away)
    place.write_text("in the way", encoding="ascii")
    try:
        yield
    finally:
        place.unlink()
        if away.is_dir():
            away.rename(place)


def torment(rig, campaign, until):
    """One fault after the other. @return how many of each"""
    kinds = [killed, stopped, few_files, little_memory, no_notebook]
    kinds += [full_disk] * 2 if rig.disk else []
    counts = {}
    while time.monotonic() < until:
        time.sleep(campaign.chance.uniform(0.3, 3.0))
        kind = campaign.chance.choice(kinds)
        with kind(rig, campaign.chance):
            time.sleep(campaign.chance.uniform(0.2, 2.0))
        counts[kind.__name__] = counts.get(kind.__name__, 0) + 1
        counts["restarts"] = counts.get("restarts", 0) + int(rig.revive())
    return counts


def attacked(rig, campaign, ended):
    """Callers that go on until `ended`; how they fare is nobody's business here."""
    attacks.LONGEST_WAIT_S = 3
    pool = concurrent.futures.ThreadPoolExecutor(max_workers=ATTACKERS)
    for number in range(ATTACKERS):
        pool.submit(attacks.attack, rig, campaign.seed + number,
                    lambda what: campaign.count("answers", int(isinstance(what, int))), ended)
    return pool


def wait_calm(rig):
    """All faults are over, and the run under way ends. After many failures a notebook is left in
    peace for minutes, unless somebody who has seen to it says so."""
    try:
        wait_for(lambda: rig.ask("POST", "/v1/sync")[0] == 200, "the notebook to be tried again")
        wait_for(lambda: not rig.status()["problems"], "a bench without problems")
    except AssertionError as failure:
        raise Wrong(f"{failure}: {rig.status()['problems']}") from failure
    seconds = 0.0
    while seconds < CALM_S:
        seconds = seconds + 0.2 if rig.state() == "watching" else 0.0
        time.sleep(0.2)
    wait_for(lambda: rig.status()["notebooks"][0]["waiting"] == 0, "all runs in the notebook")


def in_scenario_s(rig, store):
    """@return a function from the bench's axis (us) to the scenario's time (s)"""
    truth = rig.board_truth()
    begun_s = truth["started_wall_us"] * 1e-6 - (time.time() -
                                                 time.clock_gettime(time.CLOCK_BOOTTIME))
    sessions = store.execute("SELECT axis_us, machine_us FROM session ORDER BY axis_us").fetchall()

    def converted(at_us):
        axis_us, machine_us = max((row for row in sessions if row[0] <= at_us),
                                  default=sessions[0])
        return ((machine_us + (at_us - axis_us) / SPEED) * 1e-6 - begun_s) * SPEED
    return converted


def is_explained(mixing_s, times_s):
    """Whether readings are missing around a mixing."""
    near = [at_s for at_s in times_s if -BEFORE_S <= at_s - mixing_s <= BEHIND_S]
    edges = [mixing_s - BEFORE_S, *near, mixing_s + BEHIND_S]
    return max(b - a for a, b in zip(edges, edges[1:])) > MISSING_S


def account(rig, last_s):
    """Every mixing has its run, or is explained. @return counts"""
    store = rig.look()
    must(integrity(store) == ["ok"], f"integrity: {integrity(store)}")
    converted = in_scenario_s(rig, store)
    times_s = [converted(row[0]) for row in store.execute("SELECT time_us FROM reading ORDER BY 1")]
    firsts = dict(store.execute("SELECT id, first_us FROM run"))
    store.close()
    counts = {"mixings": 0, "runs_right": 0, "runs_warned": 0, "runs_explained": 0,
              "readings": len(times_s)}
    found = {}
    for run in stored_runs(rig):
        mixed_us = firsts[run["id"]] + run["mixing"]["time_s"]["value"] * 1e6
        found.setdefault(int(converted(mixed_us) // CYCLE_S), []).append(run)
    for mixing in rig.truth():
        at_s = mixing["mixing_time_s"]
        if at_s + BEHIND_S > last_s:
            continue
        counts["mixings"] += 1
        runs = found.get(int(at_s // CYCLE_S), [])
        if any(rise_is_right(run, mixing) for run in runs):
            counts["runs_right"] += 1
        elif any(is_warned(run) for run in runs):
            counts["runs_warned"] += 1
        else:
            must(is_explained(at_s, times_s), f"the mixing at {at_s:.0f} s has "
                 f"{'a wrong run without a finding' if runs else 'no run'}, and no reading is "
                 f"missing there")
            counts["runs_explained"] += 1
    return counts


def together(seconds, campaign, disk):
    trials = int(seconds * SPEED / CYCLE_S) + 4
    with TogetherRig(trials, disk) as rig:
        rig.known_token = rig.token("wall", "viewer")
        rig.start()
        wait_for(lambda: rig.status()["probes"][0]["readings"] > 20, "readings")
        ended = threading.Event()
        pool = attacked(rig, campaign, ended)
        try:
            counts = torment(rig, campaign, time.monotonic() + seconds)
        finally:
            ended.set()
            pool.shutdown()
        wait_calm(rig)
        last_s = rig.scenario_s()
        code, _ = rig.daemon.end()
        must(code == 0, rig.daemon.log()[-500:])
        check_verified(rig)
        return {**counts, **account(rig, last_s)}


def main():
    kinds = in_own_mounts()
    resource.setrlimit(resource.RLIMIT_CORE, (0, resource.getrlimit(resource.RLIMIT_CORE)[1]))
    campaign = Campaign("together", short=12)
    campaign.tried(f"{campaign.amount:.0f} s", together, campaign.amount, campaign,
                   "tmpfs" if "tmpfs" in kinds else None)
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"together_test.py: {failure}") from failure

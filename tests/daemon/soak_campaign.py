"""Left alone for weeks: one bench on a fast clock with trials, faults of its port, a notebook that
is away at times, and people at the page who come and go. Memory, descriptors, log and processor
time must stay as they are, and the store may grow by its runs alone.

soak_campaign.py [MINUTES [SPEED [SEED]]]; the environment as in rig.py, and NESTCUP. Prints a line
of figures now and then, and at the end what became of them from the second quarter of the time to
the last one; fails where something grew, where a run is missing without a word, or where store and
notebook do not belong together.
"""

import itertools
import json
import os
import pathlib
import random
import statistics
import subprocess
import sys
import time

from killed_runs import Axis, event, long_day
from rig import CUP, Rig, integrity, wait_for

CYCLE_S = 1800.0  # from trial to trial, bench time
INTERVAL_S, FORE_S, AFTER_S = 2.0, 300.0, 300.0
MOST_OFF_S = 60.0  # at such a speed a moment of the machine is a long one
MOST_UNEVEN_S = 0.2
KEEP_DAYS = 0.5
ADDED = {"name": "added", "role": "added", "column": 2}
FAULTS = [("unplug", {"for_s": 20}), ("stall", {"for_s": 40}), ("garbage", {"count": 300}),
          ("freeze", {"for_s": 15}), ("cut", {"count": 3}), ("nul", {"count": 2})]
MOST_GROWTH = {"memory_MiB": 1.05, "descriptors": 1.0, "cpu_ms_per_s": 1.20}
# The store grows with its runs, which stay; what else is in it goes once a day, and leaves room for
# the next day's readings. The log is as large as it had to be at once, between two checkpoints.
MOST = {"gaps_MiB": 3.0, "log_MiB": 16.0}
SETTLED_S = 700.0  # so long after a mixing its run is there


def weeks(trials, seed):
    """Trials half an hour apart; in most pauses something is wrong with the line."""
    rng = random.Random(seed)
    text = long_day(trials, CYCLE_S, seed, interval_s=INTERVAL_S, fore_s=FORE_S, after_s=AFTER_S)
    for trial in range(trials):
        kind, keys = rng.choice(FAULTS)
        at_s = trial * CYCLE_S + rng.uniform(900.0, 1700.0)
        text += event(at_s, kind, table="fault", name="kind", **keys)
    return text


class Watched:
    """What the daemon takes of the machine."""

    def __init__(self, rig):
        self.rig, self.pid, self.rows = rig, rig.daemon.process.pid, []
        self.last = self.cpu()

    def cpu(self):
        return time.monotonic(), time.clock_gettime((~self.pid << 3) | 2)

    def look(self, gaps_MiB):
        now, used = self.cpu()
        status = pathlib.Path(f"/proc/{self.pid}/status").read_text(encoding="ascii")
        (resident,) = (int(line.split()[1]) for line in status.splitlines()
                       if line.startswith("VmRSS:"))
        log = pathlib.Path(str(self.rig.store_path) + "-wal")
        row = {"memory_MiB": resident / 1024,
               "descriptors": len(os.listdir(f"/proc/{self.pid}/fd")),
               "store_MiB": self.rig.store_path.stat().st_size / 2**20,
               "gaps_MiB": gaps_MiB,
               "log_MiB": log.stat().st_size / 2**20 if log.exists() else 0.0,
               "cpu_ms_per_s": 1e3 * (used - self.last[1]) / (now - self.last[0])}
        self.last = now, used
        self.rows.append(row)
        print(" ".join(f"{name} {value:.2f}" for name, value in row.items()), flush=True)

    def growth(self):
        """Median of the last quarter over that of the second one."""
        quarter = len(self.rows) // 4
        return {name: statistics.median(row[name] for row in self.rows[-quarter:]) /
                statistics.median(row[name] for row in self.rows[quarter:2 * quarter])
                for name in MOST_GROWTH}


class Surroundings:
    """People at the page, and a notebook's folder that goes away and comes back."""

    def __init__(self, rig, seed):
        self.rig, self.random = rig, random.Random(seed)
        self.notebook, self.away = rig.folder / "notebook", rig.folder / "notebook.away"
        self.asked = 0

    def go_on(self):
        for path in self.random.sample(["/v1/status", "/v1/runs", "/v1/sheet", "/healthz"], 2):
            self.asked += 1
            self.rig.ask("GET", path)
        if self.random.random() < 0.05:
            for old, new in ((self.notebook, self.away), (self.away, self.notebook)):
                if old.exists():
                    old.rename(new)
                    break

    def end(self):
        if self.away.exists():
            self.away.rename(self.notebook)


def command(rig, *words):
    return subprocess.run([os.environ["NESTCUP"], *words, "--bench", str(rig.bench_path)],
                          capture_output=True, encoding="utf-8")


def whole(rig):
    """What is wrong in the end with the store and what was carried out of it."""
    problems = []
    wait_for(lambda: rig.ask("POST", "/v1/sync")[0] == 200, "the notebook to be tried again")
    wait_for(lambda: not any(book["waiting"] for book in rig.status()["notebooks"]),
             "everything to be carried", 120.0)
    code, _ = rig.daemon.end()
    if code != 0:
        problems.append(f"the daemon ended with {code}")
    store = rig.look()
    problems += [text for text in integrity(store) if text != "ok"]
    store.close()
    done = command(rig, "verify")
    if done.returncode != 0:
        problems.append(done.stdout + done.stderr)
    return problems


def is_uneven(times_s):
    return any(abs(later - sooner - INTERVAL_S) > MOST_UNEVEN_S
               for sooner, later in itertools.pairwise(times_s))


class Mixings:
    """Every mixing has its run, or its readings were missing, or their stamps uneven because a
    moment of the machine is a long one at such a speed; looked at before readings outside runs are
    removed."""

    def __init__(self, rig):
        self.axis = Axis(rig)
        self.rig, self.until_s = rig, 0.0
        self.count, self.missing, self.uneven, self.missed = 0, 0, 0, []

    def look(self):
        now_s = self.rig.scenario_s()
        store = self.rig.look()
        anchors = store.execute("SELECT axis_us, machine_us FROM session ORDER BY id").fetchall()
        mixed_s = [self.axis.scenario_s(anchors, first_us + 1e6 * json.loads(record)["mixing"]
                                        ["time_s"]["value"]) for first_us, record in store.execute(
            "SELECT first_us, record_json FROM run JOIN run_record ON run = number "
            "ORDER BY number DESC LIMIT 30")]
        cup_s = [self.axis.scenario_s(anchors, time_us) for (time_us,) in store.execute(
            "SELECT time_us FROM reading JOIN probe ON probe = probe.id WHERE role = 'cup' "
            "ORDER BY time_us DESC LIMIT 12000")]
        (gaps,) = store.execute("PRAGMA freelist_count").fetchone()
        store.close()
        for truth in self.rig.truth():
            at_s = truth["mixing_time_s"]
            if not self.until_s < at_s <= now_s - SETTLED_S:
                continue
            self.count += 1
            self.until_s = at_s
            if any(abs(one - at_s) < MOST_OFF_S for one in mixed_s):
                continue
            there_s = sorted(one - at_s for one in cup_s if -FORE_S / 2 < one - at_s < AFTER_S)
            if len(there_s) < 0.95 * (FORE_S / 2 + AFTER_S) / INTERVAL_S:
                self.missing += 1
            elif is_uneven([one for one in there_s if abs(one) < MOST_OFF_S]):
                self.uneven += 1
            else:
                self.missed.append(at_s)
        return gaps * 4096 / 2**20


def soak(minutes, speed, seed):
    trials = int(minutes * 60 * speed / CYCLE_S) + 2
    with Rig("still.toml", probes=[CUP, ADDED], port={"settle_s": 1.0, "silence_s": 30},
             speed=speed, after_period_s=180,
             keep_readings_days=KEEP_DAYS) as rig:
        rig.scenario = rig.folder / "weeks.toml"
        rig.scenario.write_text(weeks(trials, seed), encoding="ascii")
        with rig.bench_path.open("a", encoding="utf-8") as bench:
            bench.write('[[notebook]]\nkind = "folder"\npath = "notebook"\ncharts = false\n')
        (rig.folder / "notebook").mkdir()
        rig.start()
        watched, surroundings, mixings = Watched(rig), Surroundings(rig, seed), Mixings(rig)
        ends, every_s = time.monotonic() + minutes * 60, max(1.0, minutes * 60 / 120)
        for row in itertools.count(1):
            while time.monotonic() < ends - minutes * 60 + row * every_s:
                surroundings.go_on()
                time.sleep(0.5)
            watched.look(mixings.look())
            if time.monotonic() >= ends:
                break
        surroundings.end()
        bench_s = rig.scenario_s()
        problems = whole(rig)
        problems += [f"no run of the mixing at {at_s:.0f} s" for at_s in mixings.missed]
        for name, most in MOST.items():
            if max(row[name] for row in watched.rows) > most:
                problems.append(f"{name} was more than {most}")
        return watched.growth(), mixings, bench_s / 86400.0, problems


def main(minutes="120", speed="200", seed="20261128"):
    growth, mixings, days, problems = soak(float(minutes), float(speed), int(seed))
    for name, factor in growth.items():
        print(f"{name}: {factor:.3f} times from the second quarter to the last")
        if factor > MOST_GROWTH[name] and float(minutes) >= 5.0:
            problems.append(f"{name} grew {factor:.3f} times")
    for problem in problems:
        print("PROBLEM", problem)
    without = mixings.missing + mixings.uneven + len(mixings.missed)
    print(f"soak_campaign: {days:.1f} days of bench time, {mixings.count} mixings, "
          f"{mixings.count - without} runs; none where readings were missing ({mixings.missing}) "
          f"or came unevenly ({mixings.uneven}); seed {seed}: "
          f"{'FAILED' if problems else 'all flat'}")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

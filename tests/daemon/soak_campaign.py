"""Left alone for weeks: one bench on a fast clock with trials, faults of its port, a notebook that
is away at times, and people at the page who come and go. Memory, descriptors, log and processor
time must stay as they are, and the store must be no larger than its runs and the newest readings
need.

soak_campaign.py [MINUTES [SPEED [SEED]]]; the environment as in rig.py, and NESTCUP. Prints a line
of figures now and then, and at the end what became of them from the second quarter of the time to
the last one; fails where something grew, where a run is missing without a word, or where store and
notebook do not belong together.
"""

import itertools
import os
import pathlib
import random
import statistics
import subprocess
import sys
import time

from killed_runs import event, long_day
from rig import CUP, Rig, integrity, wait_for

CYCLE_S = 1800.0  # from trial to trial, bench time
KEEP_DAYS = 0.5
ADDED = {"name": "added", "role": "added", "column": 2}
FAULTS = [("unplug", {"for_s": 20}), ("stall", {"for_s": 40}), ("garbage", {"count": 300}),
          ("freeze", {"for_s": 15}), ("cut", {"count": 3}), ("nul", {"count": 2})]
MOST_GROWTH = {"memory_MiB": 1.05, "descriptors": 1.0, "log_MiB": 1.5, "cpu_ms_per_s": 1.20}
MOST_OVER_COPY = 1.10  # the store grows with its runs, which stay; beside a copy without gaps


def weeks(trials, seed):
    """Trials half an hour apart; in most pauses something is wrong with the line."""
    rng = random.Random(seed)
    text = long_day(trials, CYCLE_S, seed, interval_s=2.0, fore_s=300.0, after_s=300.0)
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

    def look(self):
        now, used = self.cpu()
        status = pathlib.Path(f"/proc/{self.pid}/status").read_text(encoding="ascii")
        (resident,) = (int(line.split()[1]) for line in status.splitlines()
                       if line.startswith("VmRSS:"))
        log = pathlib.Path(str(self.rig.store_path) + "-wal")
        row = {"memory_MiB": resident / 1024,
               "descriptors": len(os.listdir(f"/proc/{self.pid}/fd")),
               "store_MiB": self.rig.store_path.stat().st_size / 2**20,
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
    wait_for(lambda: not any(book["waiting"] for book in rig.status()["notebooks"]),
             "everything to be carried", 120.0)
    code, _ = rig.daemon.end()
    if code != 0:
        problems.append(f"the daemon ended with {code}")
    store = rig.look()
    problems += [text for text in integrity(store) if text != "ok"]
    copy = rig.folder / "copy.db"
    store.execute("VACUUM INTO ?", (str(copy),))
    store.close()
    over_copy = rig.store_path.stat().st_size / copy.stat().st_size
    print(f"store: {rig.store_path.stat().st_size / 2**20:.2f} MiB, {over_copy:.3f} times its copy "
          "without gaps")
    if over_copy > MOST_OVER_COPY:
        problems.append(f"the store is {over_copy:.3f} times as large as it need be")
    done = command(rig, "verify")
    if done.returncode != 0:
        problems.append(done.stdout + done.stderr)
    return problems


def found_runs(rig, bench_s):
    """@return mixings so far, runs in the store"""
    mixings = sum(truth["mixing_time_s"] < bench_s - 700.0 for truth in rig.truth())
    store = rig.look()
    (runs,) = store.execute("SELECT count(*) FROM run").fetchone()
    store.close()
    return mixings, runs


def soak(minutes, speed, seed):
    trials = int(minutes * 60 * speed / CYCLE_S) + 2
    with Rig("still.toml", probes=[CUP, ADDED], port={"settle_s": 1.0, "silence_s": 30},
             speed=speed, precedence=False, after_period_s=180,
             keep_readings_days=KEEP_DAYS) as rig:
        rig.scenario = rig.folder / "weeks.toml"
        rig.scenario.write_text(weeks(trials, seed), encoding="ascii")
        with rig.bench_path.open("a", encoding="utf-8") as bench:
            bench.write('[[notebook]]\nkind = "folder"\npath = "notebook"\ncharts = false\n')
        (rig.folder / "notebook").mkdir()
        rig.start()
        watched, surroundings = Watched(rig), Surroundings(rig, seed)
        ends, every_s = time.monotonic() + minutes * 60, max(1.0, minutes * 60 / 120)
        for row in itertools.count(1):
            while time.monotonic() < ends - minutes * 60 + row * every_s:
                surroundings.go_on()
                time.sleep(0.5)
            watched.look()
            if time.monotonic() >= ends:
                break
        surroundings.end()
        bench_s = rig.scenario_s()
        problems = whole(rig)
        mixings, runs = found_runs(rig, bench_s)
        return watched.growth(), mixings, runs, bench_s / 86400.0, problems


def main(minutes="120", speed="400", seed="20261128"):
    growth, mixings, runs, days, problems = soak(float(minutes), float(speed), int(seed))
    for name, factor in growth.items():
        print(f"{name}: {factor:.3f} times from the second quarter to the last")
        if factor > MOST_GROWTH[name] and float(minutes) >= 5.0:
            problems.append(f"{name} grew {factor:.3f} times")
    if runs < 0.9 * mixings:
        problems.append(f"{runs} runs of {mixings} mixings")
    for problem in problems:
        print("PROBLEM", problem)
    print(f"soak_campaign: {days:.1f} days of bench time, {mixings} mixings, {runs} runs, seed "
          f"{seed}: {'FAILED' if problems else 'all flat'}")
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

"""SIGKILL at random moments: what is lost, counted against what the simulated boards really sent.

kill_campaign.py [KILLS [BENCHES [SEED]]]; the environment as in rig.py. So many benches side by
side go through one trial after the other on a fast clock; each daemon is killed at random moments
and started again a while later, until all of them together were killed KILLS times. Prints figures
and the seed, and fails where
- a reading is missing that the daemon had counted as committed, or one is there that was not sent;
- in a run, more is missing than 250 ms and the commit under way;
- a store is not whole (integrity_check), or a finished run is gone;
- a mixing has no record, or one that was interrupted tells of no gap;
- a record's rise is wrong (by more than five standard uncertainties) without a finding.
"""

import random
import signal
import sys
import threading
import time

from killed_runs import Axis, check_runs, long_day
from rig import CUP, Rig, integrity, wait_for

SPEED = 5.0
CYCLE_S, FORE_S = 360.0, 150.0  # a trial, and its time before the pour
UP_S = (0.3, 5.5)  # how long a daemon lives before it is asked what it has
ASKED_S = (0.0, 2.5)  # how much longer it lives then: asking for runs makes it commit at once
AWAY_S = (0.3, 1.0)  # how long it is away
PACE_S = {"watching": 2.0, "suspected": 0.25, "running": 0.25}
ADDED = {"name": "added", "role": "added", "column": 2}


class Tally:
    """What came of all kills; several threads add to it."""

    def __init__(self):
        self.lock = threading.Lock()
        self.problems, self.kills, self.in_run = [], 0, 0
        self.committed_lost = self.wrong_values = self.runs_lost = 0
        self.lost_ms = {"watching": [], "run": []}
        self.mixings = self.interrupted = self.told = 0
        self.deviations = []

    def problem(self, text):
        with self.lock:
            self.problems.append(text)


class KilledBench:
    """One bench, its daemon killed again and again."""

    def __init__(self, number, kills, seed, tally):
        self.number, self.kills, self.tally = number, kills, tally
        self.random = random.Random(seed * 1000 + number)
        self.away = []  # from when to when (wall clock, s) no daemon was there
        longest_s = kills * (sum(UP_S) + sum(ASKED_S) + sum(AWAY_S) + 1.5) / 2 * SPEED
        trials = int(longest_s / CYCLE_S) + 3
        self.text = long_day(trials, CYCLE_S, seed * 100 + number, fore_s=FORE_S)

    def live(self):
        with Rig("still.toml", probes=[CUP, ADDED], port={"settle_s": 1.0}, speed=SPEED,
                 precedence=False, after_period_s=90) as rig:
            self.rig = rig
            rig.scenario = rig.folder / "long-day.toml"
            rig.scenario.write_text(self.text, encoding="ascii")
            rig.start_board()
            rig.start_daemon()
            wait_for(rig.truth_path.exists, "the port to be opened")
            self.axis = Axis(rig)
            for kill in range(self.kills):
                self.kill(kill)
            self.finish_day()

    def kill(self, kill):
        rig, tally = self.rig, self.tally
        time.sleep(self.random.uniform(*UP_S))
        status = rig.status()
        runs = {run["id"] for run in rig.runs()}
        time.sleep(self.random.uniform(*ASKED_S))
        state = rig.state()
        killed_s = time.time()
        rig.daemon.end(signal.SIGKILL)
        store = rig.look()
        whole = integrity(store)
        if whole != ["ok"]:
            tally.problem(f"bench {self.number}, kill {kill}: {whole}")
        counts = self.axis.count_session(store, killed_s)
        kept = {row[0] for row in store.execute("SELECT id FROM run")}
        store.close()
        lost_s = counts.missing_s
        commit_s = status["store"]["longest_commit_ms"] / 1e3
        with tally.lock:
            tally.kills += 1
            if tally.kills % 100 == 0:
                print(f"{tally.kills} kills", flush=True)
            tally.in_run += state != "watching"
            tally.committed_lost += max(0, status["store"]["committed_readings"] - counts.readings)
            tally.wrong_values += counts.wrong
            tally.runs_lost += len(runs - kept)
            if state == status["run"]["state"] and counts.readings:
                tally.lost_ms["watching" if state == "watching" else "run"].append(lost_s * 1e3)
                # Half a reading's interval is the grid of the count, not a loss.
                if lost_s > PACE_S[state] + 2 * commit_s + 0.05 + 0.5 / SPEED:
                    tally.problems.append(f"bench {self.number}, kill {kill}: {lost_s:.3f} s are "
                                          f"missing while {state}; commits took {commit_s:.3f} s")
        time.sleep(self.random.uniform(*AWAY_S))
        rig.start_daemon()
        wait_for(lambda: rig.status()["probes"][0]["readings"], "readings")
        self.away.append((killed_s, time.time()))

    def finish_day(self):
        """Lets the trial under way come to its end, and looks at all records."""
        rig = self.rig
        wait_for(lambda: rig.state() == "watching", "the end of the run", 120.0)
        until_s = rig.scenario_s()
        code, _ = rig.daemon.end()
        if code != 0:
            self.tally.problem(f"bench {self.number}: the daemon ended with {code}")
        store = rig.look()
        if integrity(store) != ["ok"]:
            self.tally.problem(f"bench {self.number}: the store is not whole in the end")
        found = check_runs(rig, self.axis, store, self.away, until_s)
        store.close()
        with self.tally.lock:
            for name in ("mixings", "interrupted", "told"):
                setattr(self.tally, name, getattr(self.tally, name) + getattr(found, name))
            self.tally.deviations += found.deviations
            self.tally.problems += [f"bench {self.number}: {text}" for text in found.problems]


def share(values, part):
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, int(part * len(ordered)))] if ordered else 0.0


def tell(tally, benches, seed):
    print(f"kills {tally.kills}, of them in a run {tally.in_run}; benches {benches}, "
          f"speed {SPEED:g}")
    print(f"committed readings lost {tally.committed_lost}; readings that were not sent "
          f"{tally.wrong_values}; finished runs lost {tally.runs_lost}")
    for name, values in tally.lost_ms.items():
        print(f"missing at the end, {name}: median {share(values, 0.5):.0f} ms, longest "
              f"{max(values, default=0.0):.0f} ms (machine time, {len(values)} kills)")
    print(f"mixings {tally.mixings}; interrupted {tally.interrupted}, of them told of "
          f"{tally.told}; rise off by at most {max(tally.deviations, default=0.0):.1f} u "
          f"(median {share(tally.deviations, 0.5):.1f})")
    for problem in tally.problems:
        print("PROBLEM", problem)
    good = not tally.problems and not (tally.committed_lost or tally.wrong_values or
                                       tally.runs_lost)
    print(f"kill_campaign: {tally.kills} kills, seed {seed}: "
          f"{'nothing committed is lost' if good else 'FAILED'}")
    return good


def main(kills=1000, benches=8, seed=None):
    seed = int(time.time()) if seed is None else seed
    tally, shares = Tally(), [kills // benches + (n < kills % benches) for n in range(benches)]

    def live(number):
        try:
            KilledBench(number, shares[number], seed, tally).live()
        except Exception as problem:  # one bench's end must not hide the others'
            tally.problem(f"bench {number}: {type(problem).__name__}: {problem}")

    threads = [threading.Thread(target=live, args=(n,)) for n in range(benches) if shares[n]]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return 0 if tell(tally, benches, seed) else 1


if __name__ == "__main__":
    sys.exit(main(*[int(word) for word in sys.argv[1:]]))

"""What the campaigns have in common: their words, their figures, and what must hold of a bench
whatever was done to it.

    NAME_test.py [COUNT [SEED]]

runs a campaign, prints what goes on, and as its last line the figures and the seed. It ends with 1
where something did not hold. Without COUNT it is the short form, of seconds. The environment is
that of tests/daemon/rig.py and tests/faults/faults.py.
"""

import collections
import http.client
import json
import os
import pathlib
import random
import subprocess
import sys
import threading
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))

from rig import STALL_S, StallWatch, integrity, place_in, sessions  # noqa: E402 (folder first)

NESTCUP = os.environ["NESTCUP"]
# As tests of right results at a fast clock do (rig.py): the machine may stand still.
ATTEMPTS = 5


class Wrong(AssertionError):
    """Something that had to hold does not."""


def must(holds, what):
    if not holds:
        raise Wrong(what)


class Campaign:
    """Counts, and knows how it ended. `short` is how much is done where nothing is said."""

    def __init__(self, name, short):
        self.name = name
        self.is_short = len(sys.argv) < 2
        self.amount = float(sys.argv[1]) if len(sys.argv) > 1 else short
        self.seed = int(sys.argv[2]) if len(sys.argv) > 2 else 28
        self.chance = random.Random(self.seed)
        self.figures = collections.OrderedDict()
        self.problems = []
        self.guard = threading.Lock()
        self.begun = time.monotonic()

    def count(self, name, more=1):
        with self.guard:
            self.figures[name] = self.figures.get(name, 0) + more

    def at_most(self, name, value):
        """Keeps the largest value."""
        with self.guard:
            self.figures[name] = max(self.figures.get(name, value), value)

    def say(self, text):
        print(f"{time.monotonic() - self.begun:6.1f} s  {text}", flush=True)

    def wrong(self, text):
        with self.guard:
            self.problems.append(text)
        print(f"WRONG: {text}", file=sys.stderr, flush=True)

    def tried(self, title, case, *what):
        """Runs `case(*what)`; again where it failed while the machine stood still. A case returns
        what it counted, so that a failed attempt counts nothing."""
        for attempts_left in reversed(range(ATTEMPTS)):
            watch = StallWatch()
            try:
                for name, value in case(*what).items():
                    self.count(name, value)
                self.say(f"{title}: well")
                return
            except (AssertionError, OSError, http.client.HTTPException) as failure:
                if not attempts_left or watch.longest_s < STALL_S:
                    self.wrong(f"{title}: {failure}")
                    return
                self.say(f"{title}: the machine stood still for {watch.longest_s * 1e3:.0f} ms, so "
                         f"again: {failure}")
            finally:
                watch.ended.set()

    def end(self):
        words = " ".join(f"{name}={value:g}" if isinstance(value, float) else f"{name}={value}"
                         for name, value in self.figures.items())
        print(f"campaign {self.name}: {words} problems={len(self.problems)} "
              f"took_s={time.monotonic() - self.begun:.0f} seed={self.seed}", flush=True)
        sys.exit(1 if self.problems else 0)


def nestcup(*words):
    return subprocess.run([NESTCUP, *map(str, words)], capture_output=True, text=True, timeout=120,
                          check=False)


def check_verified(rig):
    """`nestcup verify` finds nothing wrong; asked of a store that nobody writes."""
    done = nestcup("verify", "--store", rig.store_path)
    wrong = [line for line in done.stdout.splitlines() if "belongs together" not in line]
    must(done.returncode == 0, f"verify ended with {done.returncode}: {wrong} {done.stderr}")


def check_readings(rig, acknowledged=0):
    """The store is sound, and each session's readings are what the board sent, without a hole.
    @return how many readings there are"""
    store = rig.look()
    must(integrity(store) == ["ok"], f"integrity: {integrity(store)}")
    blocks, place = sessions(store), 0
    store.close()
    trace = rig.trace()
    for block in blocks:
        place = place_in(trace, block, place)
        must(place is not None, "a reading is missing or doubled within a session")
        place += len(block)
    count = sum(map(len, blocks))
    must(count >= acknowledged, f"{count} readings, {acknowledged} were acknowledged")
    return count


def rise_is_right(record, truth):
    """Within three standard uncertainties of the truth, or not given at all."""
    rise = record["corrected_rise_K"]
    return (rise["value"] is not None and
            abs(rise["value"] - truth["corrected_rise_K"]) <= 3.0 * rise["u"])


def is_warned(record):
    return any(finding["severity"] != "note" for finding in record["findings"])


def check_run(rig, record):
    """The one run's rise is right, or a finding says what is wrong with it.
    @return counts of either"""
    right = rise_is_right(record, rig.truth()[0])
    must(right or is_warned(record), f"the rise is wrong without a finding: "
                                     f"{json.dumps(record['corrected_rise_K'])[:200]}, true "
                                     f"{rig.truth()[0]['corrected_rise_K']}")
    return {"runs_right": int(right), "runs_warned": int(not right)}


def stored_runs(rig):
    store = rig.look()
    rows = [json.loads(row[0]) for row in store.execute(
        "SELECT record_json FROM run JOIN run_record ON run = number "
        "AND run_record.revision = run.revision ORDER BY number")]
    store.close()
    return rows

#!/usr/bin/env python3
"""The machine's clocks misbehave: the wall clock steps by hours, either way, and the machine sleeps
and wakes again. Readings keep their order and their distances, events tell, and a run that was
under way comes out right, or a finding says what is wrong with it.

clock_test.py [ROUNDS [SEED]]. The short form steps the wall clock without a run, since with one it
takes as long as a run does on a clock that is not fast.
"""

import concurrent.futures
import signal
import time

from campaign import (Campaign, Wrong, check_readings, check_run, check_verified, must,
                      stored_runs)
from clocks import BOOTTIME, HOUR_S, MONOTONIC, REALTIME, Clocks
from rig import Rig, integrity, wait_for

SPEED = 15.0
AFTER_S = 90
# A run at the machine's own speed: the mixing soon, the after period short.
REAL_MIXING_S, REAL_AFTER_S = 40, 60
# Readings may be as much farther apart than they should be, at the machine's own speed.
MOST_UNEVEN_S = 0.2


class ClockRig(Rig):
    """A bench whose daemon and board have clocks of their own."""

    def __init__(self, scenario="one-trial.toml", **how):
        super().__init__(scenario, **how)
        self.clocks = Clocks(self.folder / "clocks")
        self.world = Clocks(self.folder / "world")

    def start(self):
        self.start_board(env=self.world.environment())
        self.start_daemon(env=self.clocks.environment())
        return self

    def signal(self, number, programs):
        for program in programs:
            program.process.send_signal(number)

    def events(self, kind):
        """To be asked when the daemon has ended."""
        store = self.look()
        rows = store.execute("SELECT detail FROM event WHERE kind = ?", (kind,)).fetchall()
        store.close()
        return rows


def times_us(rig):
    store = rig.look()
    must(integrity(store) == ["ok"], f"integrity: {integrity(store)}")
    # In the order in which they were written, which is that of a table without row ids: by time.
    rows = [row[0] for row in store.execute("SELECT time_us FROM reading ORDER BY time_us")]
    store.close()
    return rows


def ended_well(rig):
    code, _ = rig.daemon.end()
    must(code == 0, rig.daemon.log()[-500:])


def slept(moment, for_s, mode):
    """The machine sleeps for a while, in which the world goes on; what came meanwhile waits at the
    port, or was never sent."""
    with ClockRig(speed=SPEED, after_period_s=AFTER_S) as rig:
        rig.start()
        if moment == "after":
            rig.wait_after_period(15)
        else:
            rig.wait_state("running")
        programs = [rig.daemon] if mode != "board too" else [rig.daemon, rig.board]
        rig.signal(signal.SIGSTOP, programs)
        if mode == "clock":
            # A sleeping machine's steady clock stands still; its boot clock and the world do not.
            rig.world.step(MONOTONIC, for_s)
            rig.clocks.step(BOOTTIME, for_s)
            rig.clocks.step(REALTIME, for_s)
            time.sleep(0.2)
        else:
            time.sleep(for_s)
        rig.signal(signal.SIGCONT, programs)
        record = rig.wait_run()["record"]
        ended_well(rig)
        stamps = times_us(rig)
        must(len(stamps) == len(set(stamps)), "stamps are there twice")
        check_verified(rig)
        must(len(stored_runs(rig)) == 1, f"{len(stored_runs(rig))} runs in place of one")
        codes = [finding["code"] for finding in record["findings"]]
        must(any("gap" in code for code in codes), f"no finding tells of the gap: {codes}")
        if mode == "clock":
            must(len(rig.events("slept")) == 1 and "slept for" in rig.daemon.log(),
                 f"nothing tells of the sleep: {rig.daemon.log()[-300:]}")
        return {"sleeps": 1, **check_run(rig, record)}


def real_scenario(rig):
    """The trial with its mixing sooner."""
    text = rig.scenario.read_text(encoding="utf-8").replace("at_s = 100.0",
                                                            f"at_s = {REAL_MIXING_S:.1f}")
    rig.scenario = rig.folder / "sooner.toml"
    rig.scenario.write_text(text, encoding="utf-8")


def stepped(steps_s, with_run, chance):
    """The wall clock steps once and again."""
    with ClockRig(speed=1.0, after_period_s=REAL_AFTER_S) as rig:
        real_scenario(rig)
        rig.start()
        wait_for(lambda: rig.status()["probes"][0]["readings"] > 4, "readings")
        if with_run:
            rig.wait_state("running")
        for count, by_s in enumerate(steps_s, 1):
            rig.clocks.step(REALTIME, by_s)
            wait_for(lambda number=count: rig.status()["clock"]["steps"] == number, "the step")
            time.sleep(chance.uniform(1.0, 10.0 if with_run else 1.5))
        counts = {"wall_steps": len(steps_s)}
        if with_run:
            record = wait_for(rig.runs, "a finished run", 2 * (REAL_MIXING_S + REAL_AFTER_S)
                              )[0]["record"]
            must(record["started_at"] < record["mixed_at"] < record["finished_at"],
                 "the moments of the record are out of order")
            counts |= {"real_runs": 1, **check_run(rig, record)}
        known = rig.status()["probes"][0]["readings"]
        ended_well(rig)
        must(len(rig.events("clock-step")) == len(steps_s), "events are missing")
        check_even(rig)
        return {**counts, "readings": check_readings(rig, known)}


def check_even(rig):
    """The axis does not know of the wall clock: order and distances are those of the board."""
    stamps = times_us(rig)
    apart_s = [round((after - before) * 1e-6, 3) for before, after in zip(stamps, stamps[1:])]
    uneven = [(at, apart) for at, apart in enumerate(apart_s) if abs(apart - 0.5) > MOST_UNEVEN_S]
    must(not uneven, f"of {len(apart_s)} distances these are uneven: {uneven}, s")


def cases(chance, is_short):
    steps_s = [chance.choice((1, -1)) * chance.uniform(0.6, 9 * HOUR_S) for _ in range(3)]
    yield "wall clock", stepped, steps_s, not is_short, chance
    modes = ("clock",) if is_short else ("clock", "daemon", "board too")
    for mode in modes:
        moment = chance.choice(("after", "rise"))
        yield f"sleep ({mode}, {moment})", slept, moment, chance.uniform(1.5, 4.5), mode


def main():
    campaign = Campaign("clock", short=1)
    with concurrent.futures.ThreadPoolExecutor(max_workers=3) as pool:
        for number in range(int(campaign.amount)):
            for title, case, *what in cases(campaign.chance, campaign.is_short):
                pool.submit(campaign.tried, f"round {number + 1}, {title}", case, *what)
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"clock_test.py: {failure}") from failure

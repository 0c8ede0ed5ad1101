#!/usr/bin/env python3
"""Chaos on the line: every kind of fault of a line that the simulated board knows, at random
moments of a run, through all four protocols. Of what the board sent in the good time nearly all
must be kept, no value may be stored that the probe was not at (where the protocol has a checksum;
others are counted), and no run may be wrong without a finding.

chaos_test.py [BENCHES [SEED]]: so many benches, the protocols taking turns.
"""

import bisect
import concurrent.futures
import json
import re
import time

from campaign import (Campaign, Wrong, check_verified, is_warned, must, rise_is_right,
                      stored_runs)
from rig import Rig, integrity, scenario_file, wait_for

SPEED = 15.0
AFTER_S = 90
LASTS_S = 330
# name: the scenario, keys of the port and of the probe, whether each value has a checksum.
PROTOCOLS = {
    "text": ("one-trial-text.toml", {}, {"column": 1}, False),
    "senml": ("one-trial-senml.toml", {"protocol": "senml"}, {"key": "cup"}, False),
    "modbus": ("one-trial-modbus-float.toml", {"protocol": "modbus-rtu"},
               {"device": 11, "register": 0, "format": "float32", "word_order": "CDAB"}, True),
    "scpi": ("one-trial-scpi.toml", {"protocol": "scpi"}, {"query": "READ?", "column": 1}, False),
}
# kind: its keys, drawn anew each time; how long it may spoil readings after its begin, s.
FAULTS = {
    "unplug": (lambda chance: {"for_s": round(chance.uniform(1, 15), 1)}, 45),
    "hang-up": (lambda chance: {"for_s": round(chance.uniform(1, 10), 1), "delay_s": 0.1}, 45),
    "stall": (lambda chance: {"for_s": round(chance.uniform(2, 15), 1)}, 45),
    "freeze": (lambda chance: {"for_s": round(chance.uniform(2, 15), 1)}, 20),
    "garbage": (lambda chance: {"count": chance.randrange(1, 300)}, 15),
    "flood": (lambda chance: {"count": chance.randrange(10, 2000)}, 15),
    "cut": (lambda chance: {"count": chance.randrange(1, 5)}, 15),
    "corrupt": (lambda chance: {"count": chance.randrange(1, 5)}, 15),
    "double": (lambda chance: {"count": chance.randrange(1, 5)}, 15),
    "nul": (lambda chance: {"count": chance.randrange(1, 5)}, 15),
    "foreign": (lambda chance: {"count": chance.randrange(1, 4)}, 15),
    "wrong-baud": (lambda chance: {"for_s": round(chance.uniform(1, 6), 1), "baud_ratio": 0.5}, 20),
}
# What was put on the line a while ago still is what the board measured, if stamped late. A board
# that is asked measures when it is asked: steps and noise (six times 0.008 K) are another draw.
NEAR_S, NEAR_K = 4.0, 0.06
LEAST_KEPT = 0.9


def fault_script(chance):
    """@return lines of the scenario, and the times that faults may spoil, s"""
    lines, spoilt, at_s = [], [], chance.uniform(15, 40)
    while at_s < LASTS_S - 60:
        kind = chance.choice(list(FAULTS))
        keys, spoils_s = FAULTS[kind]
        drawn = keys(chance)
        lines += ["", "[[fault]]", f"at_s = {at_s:.1f}", f'kind = "{kind}"']
        lines += [f"{key} = {value}" for key, value in drawn.items()]
        spoilt.append((at_s - 1.0, at_s + drawn.get("for_s", 0) + spoils_s))
        at_s = spoilt[-1][1] + chance.uniform(2, 40)
    return lines, spoilt


class ChaosRig(Rig):
    """A bench with a scenario of its own: one of the trials, with faults on the line."""

    def __init__(self, protocol, chance):
        name, port, probe, self.has_checksum = PROTOCOLS[protocol]
        lines, self.spoilt = fault_script(chance)
        super().__init__(name, probes=[{"name": "cup", **probe}], port=port, speed=SPEED,
                         after_period_s=AFTER_S)
        self.scenario = self.folder / "scenario.toml"
        self.scenario.write_text(scenario_file(name).read_text(encoding="utf-8") +
                                 "\n".join(lines) + "\n", encoding="utf-8")

    def in_scenario_s(self):
        """The stored readings as (time in the scenario, value); to be asked at the end."""
        truth = json.loads(self.truth_path.read_text(encoding="utf-8"))
        booted_s = time.time() - time.clock_gettime(time.CLOCK_BOOTTIME)
        store = self.look()
        machine_us, axis_us, speed = store.execute(
            "SELECT machine_us, axis_us, speed FROM session").fetchone()
        rows = store.execute("SELECT time_us, temperature_degC FROM reading ORDER BY 1").fetchall()
        must(integrity(store) == ["ok"], f"integrity: {integrity(store)}")
        store.close()
        begun_s = truth["started_wall_us"] * 1e-6 - booted_s
        return [((machine_us + (at_us - axis_us) / speed) * 1e-6 - begun_s, value)
                for at_us, value in ((row[0], row[1]) for row in rows)], truth["speed"]


def trace_of(rig):
    """What the probe read: (time, value)."""
    text = re.sub(r"(?ms)^\[\[fault\]\].*\Z", "", rig.scenario.read_text(encoding="utf-8"))
    calm = rig.folder / "calm.toml"
    calm.write_text(text, encoding="utf-8")
    rig.scenario = calm
    return rig.trace(lasts_s=LASTS_S + 400)


def is_wrong(value, at_s, values):
    """Whether the probe was at no such temperature around that time."""
    first = max(0, int((at_s - NEAR_S) / 0.5))
    return not any(abs(value - near) <= NEAR_K for near in values[first:int((at_s + 1) / 0.5) + 1])


def kept_share(times_s, spoilt, until_s):
    """Of the readings due in the good time, how many came; and how many were due."""
    due = came = 0
    bounds = [(0.0, 8.0), *spoilt, (until_s, until_s)]
    for (_, begin_s), (end_s, _) in zip(bounds, bounds[1:]):
        end_s = min(end_s, until_s)
        if end_s - begin_s < 2.0:
            continue
        due += round((end_s - begin_s) / 0.5)
        came += bisect.bisect(times_s, end_s) - bisect.bisect(times_s, begin_s)
    return due, min(came, due)


def chaos(protocol, chance):
    with ChaosRig(protocol, chance) as rig:
        rig.start()
        wait_for(lambda: rig.truth_path.exists() and rig.scenario_s() > LASTS_S, "the end", 120)
        wait_for(lambda: rig.state() == "watching", "the end of the run", 60)
        until_s = rig.scenario_s() - 2.0
        code, _ = rig.daemon.end()
        must(code == 0, rig.daemon.log()[-500:])
        readings, speed = rig.in_scenario_s()
        must(speed == rig.speed, "another speed")
        truth, runs = rig.truth()[0], stored_runs(rig)
        if runs:
            check_verified(rig)
        values = trace_of(rig)
        readings = [(at_s * speed, value) for at_s, value in readings]
        wrong = [(at_s, value) for at_s, value in readings if is_wrong(value, at_s, values)]
        must(not (rig.has_checksum and wrong), f"wrong values in spite of a checksum: {wrong[:5]}")
        due, came = kept_share([at_s for at_s, _ in readings], rig.spoilt, until_s)
        must(came >= LEAST_KEPT * due, f"{came} of {due} readings of the good time kept")
        bad = [run for run in runs if not rise_is_right(run, truth) and not is_warned(run)]
        must(not bad, f"wrong without a finding: {bad and bad[0]['corrected_rise_K']['value']}, "
                      f"true {truth['corrected_rise_K']}")
        return {f"{protocol}_benches": 1, "due": due, "kept": came, "readings": len(readings),
                "wrong_without_checksum": len(wrong), "runs": len(runs),
                "runs_right": sum(rise_is_right(run, truth) for run in runs),
                "runs_missing": int(not runs)}


def main():
    campaign = Campaign("chaos", short=4)
    protocols = list(PROTOCOLS)
    with concurrent.futures.ThreadPoolExecutor(max_workers=4) as pool:
        for number in range(int(campaign.amount)):
            protocol = protocols[number % len(protocols)]
            # Each bench has its own source of chance, whatever the order in which they end.
            chance = type(campaign.chance)(campaign.seed * 1000 + number)
            pool.submit(campaign.tried, f"bench {number + 1}, {protocol}", chaos, protocol, chance)
    figures = campaign.figures
    if figures.get("due"):
        campaign.figures["kept_share"] = round(figures["kept"] / figures["due"], 4)
    campaign.end()


if __name__ == "__main__":
    try:
        main()
    except Wrong as failure:
        raise SystemExit(f"chaos_test.py: {failure}") from failure

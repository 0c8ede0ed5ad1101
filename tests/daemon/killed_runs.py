"""What a simulated board sent, beside what a store holds, for benches whose daemon was killed."""

import dataclasses
import json
import time

LATE_S = 0.5  # a reading's stamp may be so much later than it was due (machine time)


def long_day(trials, cycle_s, seed, interval_s=0.5, fore_s=70.0, after_s=135.0):
    """A scenario of one trial after the other: foreperiod, pouring, after period, refilling."""
    parts = [f"""[scenario]
name = "long-day"
seed = {seed}
duration_s = {trials * cycle_s + 60:.1f}
interval_s = {interval_s}
[room]
temperature_degC = 21.5
[cup]
heat_capacity_J_per_K = 237.0
temperature_degC = 20.9
leak_W_per_K = 0.125
stirring_W = 0.03
[added]
temperature_degC = 40.0
leak_per_s = 4.0e-4
[board]
reset_on_open = false
"""]
    for name in ("cup", "added"):
        parts.append(f"""[[probe]]
name = "{name}"
place = "{name}"
lag_s = 4.0
noise_K = 0.008
step_K = 0.01
""")
    for trial in range(trials):
        begun_s = trial * cycle_s
        parts.append(event(begun_s + fore_s + 0.3, "mix", trial='"warm"', pour_s=2.0,
                           added_J_per_K=205.6, **{"from": '"added"'}))
        emptied_s = begun_s + fore_s + after_s
        parts.append(event(emptied_s, "carry", probe='"cup"', to='"air"'))
        parts.append(event(emptied_s + 10.0, "fresh cup", heat_capacity_J_per_K=237.0,
                           temperature_degC=20.9, leak_W_per_K=0.125, stirring_W=0.03))
        parts.append(event(emptied_s + 10.0, "fresh added", temperature_degC=40.0,
                           leak_per_s=4.0e-4))
        parts.append(event(emptied_s + 21.0, "carry", probe='"cup"', to='"cup"'))
    return "".join(parts)


def event(at_s, what, table="event", name="what", **keys):
    lines = "".join(f"{key} = {value}\n" for key, value in keys.items())
    return f'[[{table}]]\nat_s = {at_s:.1f}\n{name} = "{what}"\n{lines}'


@dataclasses.dataclass
class SessionCount:
    readings: int = 0  # of all probes
    wrong: int = 0  # that the board did not send at that time
    missing_s: float = 0.0  # from the first cup's reading that is not there to the kill


class Axis:
    """From the bench's axis to the scenario's time, and what was sent then."""

    def __init__(self, rig):
        truth = rig.board_truth()
        self.started_us, self.speed = truth["started_wall_us"], truth["speed"]
        self.sent = {role: rig.trace(f"{role}_degC", lasts_s=90_000) for role in ("cup", "added")}
        self.interval_s = 0.5
        # The bench's axis goes along with the machine's boot clock.
        self.boot_s = time.clock_gettime(time.CLOCK_BOOTTIME) - time.time()

    def scenario_s(self, anchors, time_us):
        """@param anchors  (axis_us, machine_us) of the sessions, in their order"""
        axis_us, machine_us = max(anchor for anchor in anchors if anchor[0] <= time_us)
        machine_us += (time_us - axis_us) / self.speed
        return (machine_us * 1e-6 - self.boot_s - self.started_us * 1e-6) * self.speed

    def wall_s(self, scenario_s):
        return self.started_us * 1e-6 + scenario_s / self.speed

    def is_sent(self, role, scenario_s, value):
        """Whether the board sent this value then, or a little earlier."""
        last = int(scenario_s / self.interval_s + 0.01)
        first = int((scenario_s - LATE_S * self.speed) / self.interval_s)
        return value in self.sent[role][max(0, first):last + 2]

    def count_session(self, store, killed_s):
        """The last session's readings."""
        anchors = store.execute("SELECT axis_us, machine_us FROM session ORDER BY id").fetchall()
        count, newest_s = SessionCount(), None
        for time_us, role, value in store.execute(
                "SELECT time_us, role, temperature_degC FROM reading JOIN probe "
                "ON probe = probe.id WHERE time_us >= ? ORDER BY time_us", (anchors[-1][0],)):
            at_s = self.scenario_s(anchors, time_us)
            count.readings += 1
            count.wrong += not self.is_sent(role, at_s, value)
            if role == "cup":
                newest_s = at_s
        if newest_s is not None:
            count.missing_s = max(0.0, killed_s - self.wall_s(newest_s + self.interval_s))
        return count


@dataclasses.dataclass
class RunCount:
    mixings: int = 0
    interrupted: int = 0
    told: int = 0
    deviations: list = dataclasses.field(default_factory=list)
    problems: list = dataclasses.field(default_factory=list)


def check_runs(rig, axis, store, away, until_s):
    """Every mixing of the truth up to `until_s` (scenario) beside the records.
    @param away  from when to when (wall clock, s) there was no daemon"""
    anchors = store.execute("SELECT axis_us, machine_us FROM session ORDER BY id").fetchall()
    records = []
    for first_us, last_us, text in store.execute(
            "SELECT first_us, last_us, record_json FROM run JOIN run_record ON run = number"):
        record = json.loads(text)
        mixed_us = first_us + record["mixing"]["time_s"]["value"] * 1e6
        span_s = [axis.wall_s(axis.scenario_s(anchors, at_us)) for at_us in (first_us, last_us)]
        records.append((axis.scenario_s(anchors, mixed_us), span_s, record))
    found = RunCount()
    for truth in rig.truth():
        if truth["mixing_time_s"] > until_s - 170.0:
            break
        found.mixings += 1
        check_run(found, truth, records, away)
    return found


def check_run(found, truth, records, away):
    at_s = truth["mixing_time_s"]
    near = [one for one in records if abs(one[0] - at_s) < 25.0]
    if len(near) != 1:
        found.problems.append(f"{len(near)} records of the mixing at {at_s:.0f} s")
        return
    _, (first_s, last_s), record = near[0]
    codes = {finding["code"] for finding in record["findings"]}
    if any(begin > first_s and end < last_s for begin, end in away):
        found.interrupted += 1
        if codes & {"gap", "gap-at-mixing"}:
            found.told += 1
        else:
            found.problems.append(f"the run of {at_s:.0f} s tells of no gap: {sorted(codes)}")
    rise = record["corrected_rise_K"]
    if rise["value"] is None:
        return
    off_u = abs(rise["value"] - truth["corrected_rise_K"]) / rise["u"]
    found.deviations.append(off_u)
    if off_u > 5.0 and not codes:
        found.problems.append(f"the rise at {at_s:.0f} s is off by {off_u:.1f} u, no finding")

"""The daemon at USB adapters of a real kernel, in the system that boot_usb.sh boots. The last line
has the figures. NESTCUP_TEST_UNPLUGGED and NESTCUP_TEST_SEED say how often, and by which chance."""

import bisect
import json
import os
import pathlib
import random
import statistics
import subprocess
import sys
import time
import unittest

from boards import PortsRig
from gadgets import Adapter, Talker
from records import check_rise, longest_gap_s
from rig import Rig, machine_times, marks, wait_for

UNPLUGGED = int(os.environ["NESTCUP_TEST_UNPLUGGED"])
SEED = int(os.environ["NESTCUP_TEST_SEED"])
ROLES = ("cup", "added", "room", "other")
ON_THE_WAY_S = 0.05  # what was said so shortly before the cable was pulled may not have got over
INTERVAL_S = 0.1
FIRST_LINE_S = 1.5 * INTERVAL_S  # what comes first may be half a line, and is never taken
STEP_K = 1e-4
ADAPTERS = [Adapter(port, f"board-{port}") for port in range(len(ROLES))]
FIGURES = {}


class UsbRig(Rig):
    """A bench at adapters: a name of a port -> keys of its [[port]]."""

    write_bench = PortsRig.write_bench
    port = PortsRig.port

    def __init__(self, ports, probes, speed=1.0, **bench):
        self.port_keys = ports
        super().__init__("one-trial.toml", probes, speed=speed, precedence=False, **bench)

    def wait_open(self, name, opens=1):
        return wait_for(lambda: (self.port(name)["state"], self.port(name)["opens"] >= opens) ==
                        ("open", True), f"{name} open")

    def stored(self, name):
        """Readings of a probe as (machine time in s, value), of a daemon that has ended."""
        store = self.look()
        machine_us = machine_times(store)
        rows = store.execute(
            "SELECT time_us, temperature_degC FROM reading JOIN probe ON probe = probe.id "
            "WHERE name = ? ORDER BY time_us", (name,))
        return [(machine_us(time_us) * 1e-6, value) for time_us, value in rows]


def port_of(adapter, **keys):
    return {"device": adapter.name, "settle_s": 0.1, **keys}


def probe_of(name, role):
    return {"name": name, "role": role, "port": name, "column": 1}


def numbered(n):
    return b"%.4f\r\n" % (20.0 + n * STEP_K)


def descriptors(pid):
    return len(os.listdir(f"/proc/{pid}/fd"))


def plug_in(*adapters):
    for adapter in adapters:
        adapter.plug_in()
    for adapter in adapters:
        wait_for(pathlib.Path(adapter.name).exists, adapter.name)


class Usb(unittest.TestCase):
    def setUp(self):
        for adapter in ADAPTERS:
            self.addCleanup(lambda adapter=adapter: adapter.is_plugged and adapter.unplug())

    def start(self, rig):
        rig.start_daemon()
        for name in rig.port_keys:
            rig.wait_open(name)

    def talk(self, adapter, line, interval_s=INTERVAL_S):
        talker = Talker(adapter, line, interval_s)
        self.addCleanup(talker.end)
        return talker

    def test_names(self):
        plug_in(*ADAPTERS)
        told = subprocess.run([os.environ["NESTCUP"], "ports", "--json"], check=True,
                              capture_output=True, text=True).stdout
        for adapter in ADAPTERS:
            self.assertIn(adapter.name, told)
            self.assertIn(adapter.serial, told)

    def test_doctor(self):
        by_number, by_name = ADAPTERS[:2]
        plug_in(by_number, by_name)
        device = os.path.realpath(by_number.name)
        ports = {"numbered": {"device": device}, "named": port_of(by_name)}
        with UsbRig(ports, [probe_of("numbered", "cup"), probe_of("named", "added")]) as rig:
            self.start(rig)
            self.talk(by_number, numbered)
            self.talk(by_name, numbered)
            adapter = pathlib.Path("/sys/class/tty", os.path.basename(device), "device").resolve()
            control = adapter.parent / "power/control"
            for word, verdict in (("auto", "note"), ("on", "ok")):
                control.write_text(word, encoding="ascii")
                told = subprocess.run([os.environ["NESTCUP"], "doctor", "--json", "--bench",
                                       rig.bench_path], capture_output=True, text=True, check=False)
                checks = json.loads(told.stdout)["checks"]
                self.assertIn(("adapter numbered", verdict),
                              [(check["about"], check["verdict"]) for check in checks])
            remedies = {port: " ".join(check["remedy"] or "" for check in checks
                                       if check["about"] == f"port {port}") for port in ports}
            self.assertIn(by_number.name, remedies["numbered"])
            self.assertEqual(remedies["named"], "")

    def test_unplugged_at_random(self):
        chance = random.Random(SEED)
        plug_in(*ADAPTERS)
        names = [adapter.serial for adapter in ADAPTERS]
        ports = {adapter.serial: port_of(adapter) for adapter in ADAPTERS}
        with UsbRig(ports, [probe_of(*what) for what in zip(names, ROLES)]) as rig:
            self.start(rig)
            talkers = {adapter.serial: self.talk(adapter, numbered) for adapter in ADAPTERS}
            away = {name: [(0.0, time.monotonic() + FIRST_LINE_S)] for name in names}
            before = descriptors(rig.daemon.process.pid)
            for _ in range(UNPLUGGED):
                adapter = chance.choice(ADAPTERS)
                opens = rig.port(adapter.serial)["opens"]
                begun = time.monotonic()
                adapter.unplug()
                time.sleep(chance.uniform(0.05, 2.5))
                adapter.plug_in()
                rig.wait_open(adapter.serial, opens + 1)
                away[adapter.serial].append((begun - ON_THE_WAY_S,
                                             time.monotonic() + FIRST_LINE_S))
                time.sleep(chance.uniform(0.1, 0.8))
            highest = max(int(path.name.removeprefix("ttyACM"))
                          for path in pathlib.Path("/dev").glob("ttyACM*"))
            for talker in talkers.values():
                talker.end()
            time.sleep(1.0)
            self.assertEqual(descriptors(rig.daemon.process.pid), before)
            self.assertEqual(rig.daemon.end()[0], 0)
            self.assertLess(highest, len(ADAPTERS), "a device was held when it came back")
            self.count(rig, talkers, away)

    def count(self, rig, talkers, away):
        due, late_ms, missing = 0, [], []
        for name, talker in talkers.items():
            stored = rig.stored(name)
            numbers = [round((value - 20.0) / STEP_K) for _, value in stored]
            self.assertEqual(numbers, sorted(set(numbers)), f"{name}: doubled, or out of order")
            at = {n: time_s for n, (time_s, _) in zip(numbers, stored)}
            begins = [begin for begin, _ in away[name]]
            for n, said_s in enumerate(talker.said):
                if n in at:
                    self.assertIsNotNone(said_s, f"{name}: line {n} was never said")
                if said_s is None or said_s < away[name][bisect.bisect(begins, said_s) - 1][1]:
                    continue
                due += 1
                if n not in at:
                    begin, end = away[name][bisect.bisect(begins, said_s) - 1]
                    missing.append(f"{name}: line {n}, {said_s - end:.3f} s after it was back "
                                   f"from {end - begin:.3f} s away")
                else:
                    late_ms.append((at[n] - said_s) * 1e3)
        self.assertGreater(len(late_ms), 0, missing)
        FIGURES.update(unplugged=UNPLUGGED, lines_due=due, lines_missing=len(missing),
                       stamp_median_ms=round(statistics.median(late_ms), 2),
                       stamp_p99_ms=round(sorted(late_ms)[len(late_ms) * 99 // 100], 2))
        self.assertGreater(due, 100)
        self.assertEqual(missing, [])

    def test_a_run_goes_on(self):
        adapter = ADAPTERS[0]
        plug_in(adapter)
        with UsbRig({"cup": port_of(adapter)}, [probe_of("cup", "cup")], speed=5.0) as rig:
            subprocess.run([os.environ["NESTCUP_SIM"], "--scenario", str(rig.scenario), "--trace",
                            str(rig.folder / "trial.csv"), "--truth", str(rig.truth_path)],
                           check=True, capture_output=True)
            trace = rig.trace()
            self.start(rig)
            self.talk(adapter, lambda n: b"%.3f\r\n" % trace[n], 0.5 / rig.speed)
            rig.wait_after_period(30.0)
            adapter.unplug()
            wait_for(lambda: rig.port("cup")["state"] == "waiting", "a word of the cable")
            time.sleep(8.0 / rig.speed)
            adapter.plug_in()
            rig.wait_open("cup", 2)
            record = rig.wait_run()["record"]
            check_rise(self, record, rig.truth()[0])
            self.assertGreater(longest_gap_s(record), 7.0)
            self.assertLess(longest_gap_s(record), 30.0)
            rise = record["corrected_rise_K"]
            FIGURES["rise_off_u"] = round(
                (rise["value"] - rig.truth()[0]["corrected_rise_K"]) / rise["u"], 2)

    def test_a_switch_on_a_modem_line(self):
        board, switch = ADAPTERS[:2]
        plug_in(board, switch)
        ports = {"board": port_of(board),
                 "switch": port_of(switch, mark_on="dsr", silence_s=60.0)}
        probes = [probe_of("board", "cup"), probe_of("switch", "other")]
        with UsbRig(ports, probes) as rig:
            self.start(rig)
            self.talk(board, lambda n: b"20.000\r\n")
            pressed = []
            for _ in range(5):
                time.sleep(1.2)
                pressed.append(time.monotonic())
                with switch.held():  # DSR goes on, and off again
                    time.sleep(0.15)
            time.sleep(0.5)
            # Its carrier went on and off, too, which is no hang-up.
            self.assertEqual((rig.port("switch")["state"], rig.port("switch")["opens"]),
                             ("open", 1))
            self.assertEqual(rig.daemon.end()[0], 0)
            found = marks(rig.look())
            self.assertEqual(len(found), len(pressed))
            late_ms = [(mark_us * 1e-6 - press) * 1e3 for mark_us, press in zip(found, pressed)]
            self.assertGreater(min(late_ms), -1.0)
            self.assertLess(max(late_ms), 50.0)
            FIGURES.update(marks=len(found), mark_longest_ms=round(max(late_ms), 1))

    def test_another_adapter_at_its_place(self):
        first, stranger = ADAPTERS[0], Adapter(0, "stranger")
        self.addCleanup(lambda: stranger.is_plugged and stranger.unplug())
        plug_in(first)
        device = os.path.realpath(first.name)
        with UsbRig({"board": {"device": device, "settle_s": 0.1}},
                    [probe_of("board", "cup")]) as rig:
            self.start(rig)
            first.unplug()
            wait_for(lambda: rig.port("board")["state"] == "waiting", "a word of the cable")
            plug_in(stranger)
            self.assertEqual(os.path.realpath(stranger.name), device)
            wait_for(lambda: "another adapter" in json.dumps(rig.port("board")), "a refusal")
            stranger.unplug()
            plug_in(first)
            rig.wait_open("board", 2)


if __name__ == "__main__":
    done = unittest.main(verbosity=2, exit=False).result
    print("usb_checks:", " ".join(f"{key}={value}" for key, value in FIGURES.items()),
          f"seed={SEED}: {'all held' if done.wasSuccessful() else 'not all held'}")
    sys.exit(0 if done.wasSuccessful() else 1)

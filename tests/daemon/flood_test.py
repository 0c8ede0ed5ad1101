"""Floods and rubbish on one port, as fast as a pseudo-terminal takes them, beside a good port."""

import os
import random
import threading
import time
import unittest

from boards import PortsRig, Talker, resident_MiB
from rig import wait_for

# AddressSanitizer keeps what was freed for a while, a quarter of a GiB by default: that is its
# memory and not the daemon's.
os.environ["ASAN_OPTIONS"] = ":".join(
    filter(None, [os.environ.get("ASAN_OPTIONS"), "quarantine_size_mb=1"]))

FLOOD_S = float(os.environ.get("NESTCUP_TEST_FLOOD_S", "4"))
# Buffers, a line of 512 bytes and what waits for the store are all that a flood may cost.
# Sanitizers put red zones and shadows around each of these; what is kept of 80 MB at full speed
# would still be far more.
MOST_GROWTH_MIB = float(os.environ.get("NESTCUP_TEST_GROWTH_MIB", "8"))
# The daemon's start, both ports' changes and a word or two of each probe.
MOST_LOG_LINES = 30
# Of good lines at full speed as many are kept (daemon/bench/reading_rate.hpp).
MOST_AT_ONCE, MOST_PER_S = 2000, 200
NEXT_GOOD_DEGC = 55.25
PROBES = [{"name": "cup", "role": "cup", "port": "good", "column": 1},
          {"name": "added", "role": "added", "port": "bad", "column": 1}]


def rubbish_lines():
    """Lines that hold no temperature in their first column."""
    chance = random.Random(7)
    kinds = [b"21.5.5", b"--3.1", b"2l.5", b"1e", b"nan", b"inf", b"99999", b"-273.16", b"0x15",
             b"\xff\xfe21.5", b"21.5\xb0C", b"cup", b",21.5", b"+-21.5"]
    for _ in range(200):
        size = chance.randrange(1, 60)
        kinds.append(b"q" + bytes(chance.choice(b"zk%&/()=?") for _ in range(size)))
    lines = [chance.choice(kinds) for _ in range(2000)]
    return b"\r\n".join(lines) + b"\r\n"


class Flood(threading.Thread):
    """Writes the same bytes over and over, as fast as they are taken."""

    def __init__(self, board, data, for_s):
        super().__init__(daemon=True)
        self.board, self.data, self.for_s = board, data, for_s
        self.bytes = 0
        self.start()

    def run(self):
        end = time.monotonic() + self.for_s
        while time.monotonic() < end:
            self.board.write(self.data)
            self.bytes += len(self.data)


class Floods(unittest.TestCase):
    def flooded(self, data, ending=b"\r\n"):
        """Runs a bench through a flood. @return the readings that the flooded probe has before the
        next good line, its port's status then, and how many bytes it was"""
        with PortsRig({"good": {}, "bad": {}}, PROBES) as rig:
            rig.start_daemon()
            good = Talker(rig.boards["good"], lambda n: b"%.2f\n" % (20 + n * 0.01))
            bad = rig.boards["bad"]
            wait_for(lambda: rig.probe("cup")["readings"] >= 5, "good readings")
            wait_for(lambda: rig.port("bad")["state"] == "open", "the port")
            bad.write(b"first\r\n")
            pid = rig.daemon.process.pid
            before_MiB, begun = resident_MiB(pid), time.monotonic()
            flood = Flood(bad, data, FLOOD_S)
            while flood.is_alive():
                rig.status()  # it answers all the time
                time.sleep(0.2)
            bad.write(ending)
            self.wait_read(rig)
            bad.write(b"%.2f\r\n" % NEXT_GOOD_DEGC)
            wait_for(lambda: rig.probe("added")["last_degC"] == NEXT_GOOD_DEGC, "the next line")
            took_s, status = time.monotonic() - begun, rig.status()
            grown_MiB, port = resident_MiB(pid) - before_MiB, rig.port("bad")
            time.sleep(0.5)
            good.end()
            time.sleep(0.3)
            log = rig.daemon.log().splitlines()
            code, _ = rig.daemon.end()
            self.assertEqual(code, 0)
            self.check_good_port(rig.stored("cup"), good, begun)
            self.assertLess(grown_MiB, MOST_GROWTH_MIB)
            self.assertLess(len(log), MOST_LOG_LINES, log)
            self.assertEqual(status["store"]["lost_readings"], 0)
            readings = rig.stored("added")
            self.assertEqual(readings[-1], NEXT_GOOD_DEGC)
            self.assertLess(len(readings), MOST_AT_ONCE + MOST_PER_S * took_s)
            self.assertEqual(status["probes"][1]["dropped"] + len(readings),
                             status["probes"][1]["readings"])
            self.assertEqual(sum("a flood of readings" in line for line in log),
                             1 if status["probes"][1]["dropped"] else 0)
            print(f"{self.id().rsplit('.', 1)[1]}: {flood.bytes / FLOOD_S / 1e6:.1f} MB/s, "
                  f"grown by {grown_MiB:.2f} MiB, {len(readings) - 1} readings, {len(log)} lines")
            return readings[:-1], port, flood.bytes

    def wait_read(self, rig):
        """Until what was sent has been read: no byte more for a while."""
        seen, since = None, time.monotonic()
        while time.monotonic() < since + 0.5:
            now = rig.port("bad")["bytes"]
            if now != seen:
                seen, since = now, time.monotonic()
            time.sleep(0.05)

    def check_good_port(self, stored, good, begun):
        """Each line that was sent since the flood began was stored once and in order."""
        sent = [round(20 + n * 0.01, 2) for n in range(len(good.said))]
        during = sum(said >= begun for said in good.said)
        self.assertGreater(during, 5 * FLOOD_S)
        self.assertEqual(stored, sent[-len(stored):])
        self.assertGreaterEqual(len(stored), during)

    def test_rubbish(self):
        readings, port, count = self.flooded(rubbish_lines())
        self.assertEqual(readings, [])
        self.assertGreater(port["faulty_lines"], count / 100)

    def test_endless_line(self):
        readings, port, count = self.flooded(b"21.5" * 1000)
        self.assertEqual(readings, [])
        self.assertEqual(port["faults"], {"line_too_long": 1})
        self.assertGreaterEqual(port["bytes"], count)

    def test_nul_bytes(self):
        readings, port, _ = self.flooded(bytes(4000))
        self.assertEqual(readings, [])
        self.assertEqual(port["faulty_lines"], 1)

    def test_nul_bytes_among_lines(self):
        readings, port, count = self.flooded(b"21.5\0\r\n2\0" + b"1.5\r\n\0" + b"21.25\r\n" +
                                             b"21.75\r\0\n")
        self.assertEqual(set(readings), {21.75})
        self.assertGreater(port["faulty_lines"], count / 100)

    def test_good_lines(self):
        readings, port, count = self.flooded(b"21.50\r\n" * 500)
        self.assertEqual(set(readings), {21.5})
        self.assertEqual(port["data_lines"], count // len(b"21.50\r\n") + 1)
        self.assertEqual(port["faulty_lines"], 0)


if __name__ == "__main__":
    unittest.main()

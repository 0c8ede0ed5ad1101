"""A switch on a modem line marks the pour.

Pseudo-terminals have no modem lines; the daemon runs with a library before it that answers for them
from a file (shim/modem_lines.c).
"""

import os
import time
import unittest

from boards import PortsRig, Talker
from rig import CUP, Rig, marks, repeated_after_stalls, wait_for

SHIM = os.environ["NESTCUP_TEST_MODEM_SHIM"]
BOUNCE_S = 0.003


class Switch:
    """Gives a rig's daemon modem lines; a mixin that goes before the rig."""

    def __init__(self, *what, **keys):
        super().__init__(*what, **keys)
        self.lines_path = self.folder / "lines"
        self.set_line("")

    def daemon_arguments(self):
        # A sanitizer's own library would rather be the first.
        relaxed = os.environ.get("ASAN_OPTIONS", "") + ":verify_asan_link_order=0"
        return ["env", f"LD_PRELOAD={SHIM}", f"NESTCUP_TEST_MODEM_LINES={self.lines_path}",
                f"ASAN_OPTIONS={relaxed}", *super().daemon_arguments()]

    def set_line(self, words):
        beside = self.lines_path.with_suffix(".new")
        beside.write_text(words, encoding="ascii")
        beside.rename(self.lines_path)

    def bounce(self, line, ends_on):
        """Contacts touch and part four times before they rest."""
        for _ in range(4):
            self.set_line(line)
            time.sleep(BOUNCE_S)
            self.set_line("")
            time.sleep(BOUNCE_S)
        self.set_line(line if ends_on else "")

    def press(self, line, for_s=0.15):
        """@return when it began, the machine's CLOCK_BOOTTIME in us"""
        pressed_us = time.clock_gettime_ns(time.CLOCK_BOOTTIME) // 1000
        self.bounce(line, ends_on=True)
        time.sleep(for_s)
        self.bounce(line, ends_on=False)
        return pressed_us

    def marks(self):
        return marks(self.look())


class SwitchRig(Switch, Rig):
    pass


class SwitchPortsRig(Switch, PortsRig):
    pass


def marked(rig):
    return rig.daemon.log().count("marked by the switch on port ")


class SwitchTest(unittest.TestCase):
    def check_mark(self, rig, pressed_us):
        """The one mark lies at the press: within its bouncing and a few looks at the line."""
        marks_us = rig.marks()
        self.assertEqual(len(marks_us), 1)
        self.assertGreaterEqual(marks_us[0], pressed_us - 1)
        self.assertLess(marks_us[0] - pressed_us, 0.1e6)

    @repeated_after_stalls
    def test_press_at_the_pour(self):
        with SwitchRig("one-trial.toml", port={"mark_on": "cts"}) as rig:
            rig.start()
            truth = rig.truth()[0]
            wait_for(lambda: rig.scenario_s() >= truth["mixing_time_s"], "the pour")
            pressed_us = rig.press("CTS")
            record = rig.wait_run()["record"]
            self.assertEqual(marked(rig), 1)
            self.assertEqual(record["mixing"]["found_by"], "line signal")
            self.assertTrue(record["mixing"]["marked_by_switch"])
            self.assertNotIn("mark-contradicts-trace", [f["code"] for f in record["findings"]])
            apart_s = record["mixing"]["mark_s"] - record["mixing"]["time_s"]["value"]
            self.assertLess(abs(apart_s), 0.5)
            rig.daemon.end()
            self.check_mark(rig, pressed_us)

    @repeated_after_stalls
    def test_press_far_from_the_pour(self):
        with SwitchRig("one-trial.toml", port={"mark_on": "cts"}) as rig:
            rig.start()
            truth = rig.truth()[0]
            wait_for(lambda: rig.scenario_s() >= truth["mixing_time_s"] + 50.0, "later")
            self.assertEqual(rig.state(), "running")
            pressed_us = rig.press("CTS")
            record = rig.wait_run()["record"]
            self.assertEqual(record["mixing"]["found_by"], "detector")
            finding = next(f for f in record["findings"] if f["code"] == "mark-contradicts-trace")
            self.assertAlmostEqual(finding["values"]["apart_s"], 50.0, delta=10.0)
            time_s = record["mixing"]["time_s"]["value"]
            self.assertGreater(record["mixing"]["mark_s"] - time_s, 40.0)
            rig.daemon.end()
            self.check_mark(rig, pressed_us)

    def test_no_modem_lines(self):
        with Rig("still.toml", port={"mark_on": "cts", "settle_s": 0.1}, speed=1.0) as rig:
            rig.start()
            wait_for(lambda: rig.status()["probes"][0]["readings"] >= 3, "readings")
            self.assertEqual(rig.daemon.log().count("no CTS and DSR here"), 1)
            self.assertEqual(marked(rig), 0)

    @repeated_after_stalls
    def test_port_with_a_switch_alone(self):
        ports = {"board": {}, "pedal": {"mark_on": "dsr", "silence_s": 0.5}}
        with SwitchPortsRig(ports, [{**CUP, "port": "board"}]) as rig:
            rig.start_daemon()
            talker = Talker(rig.boards["board"], lambda n: b"21.%02d\n" % (n % 7))
            wait_for(lambda: rig.status()["well"], "a bench that is well")
            time.sleep(2.0)  # four times the silence that a port with a probe is allowed
            status = rig.status()
            self.assertEqual(status["problems"], [])
            self.assertEqual(rig.port("pedal")["state"], "open")
            self.assertNotIn("silent", rig.daemon.log())
            pressed_us = rig.press("CTS")  # another line than the pedal's
            self.assertEqual(marked(rig), 0)
            for presses in range(1, 4):
                time.sleep(0.4)
                pressed_us = rig.press("DSR")
                wait_for(lambda count=presses: marked(rig) >= count, "a mark", 2.0)
                self.assertEqual(marked(rig), presses)
            self.assertIn("marked by the switch on port pedal", rig.daemon.log())
            talker.end()
            rig.daemon.end()
            marks = rig.marks()
            self.assertEqual(len(marks), 3)
            self.assertGreaterEqual(marks[-1], pressed_us - 1)
            self.assertLess(marks[-1] - pressed_us, 0.1e6)


if __name__ == "__main__":
    unittest.main()

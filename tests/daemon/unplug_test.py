"""Cables pulled out, ports that are not there or not permitted."""

import os
import unittest

from records import check_keys, check_rise, longest_gap_s
from rig import Rig, repeated_after_stalls, wait_for

NOBODY = 65534


class Unplug(unittest.TestCase):
    def problems(self, rig):
        return " ".join(rig.status()["problems"])

    @repeated_after_stalls
    def test_unplugged_in_the_run(self):
        with Rig("unplug.toml") as rig:
            rig.start()
            rig.wait_state("running")
            wait_for(lambda: "port board: waiting" in self.problems(rig), "a word of the cable")
            self.assertFalse(rig.status()["well"])
            wait_for(lambda: rig.status()["ports"][0]["state"] == "open", "the port open again")
            self.assertEqual(rig.state(), "running")
            record = rig.wait_run()["record"]
            check_keys(self, record)
            check_rise(self, record, rig.truth()[0])
            # Out for 12 s, then the board starts and the line settles.
            self.assertGreater(longest_gap_s(record), 11.5)
            self.assertLess(longest_gap_s(record), 60.0)
            self.assertGreater(rig.status()["ports"][0]["opens"], 1)

    def test_port_that_comes_late(self):
        with Rig("one-trial.toml") as rig:
            rig.start_daemon()
            wait_for(lambda: str(rig.device) in self.problems(rig), "the missing port's name")
            status = rig.status()
            self.assertFalse(status["well"])
            self.assertEqual(status["ports"][0]["state"], "waiting")
            self.assertIn("probe cup: no reading", status["problems"])
            rig.start_board()
            wait_for(lambda: rig.status()["well"], "recovery when the port comes")
            self.assertGreater(rig.status()["probes"][0]["readings"], 0)

    def test_port_that_is_not_permitted(self):
        # Nothing is forbidden to root: then the daemon runs as nobody.
        nobody = NOBODY if os.geteuid() == 0 else None
        with Rig("one-trial.toml") as rig:
            rig.start_board()
            rig.device.chmod(0)
            if nobody:
                os.chown(rig.folder, nobody, nobody)
            rig.start_daemon(nobody)
            wait_for(lambda: "not permitted" in self.problems(rig), "a word of the permission")
            self.assertEqual(rig.status()["ports"][0]["state"], "waiting")
            rig.device.chmod(0o666)
            wait_for(lambda: rig.status()["well"], "recovery when it is permitted")


if __name__ == "__main__":
    unittest.main()

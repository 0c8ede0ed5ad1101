"""A whole run from the port to the stored record."""

import json
import signal
import unittest

from records import check_keys, check_rise, longest_gap_s
from rig import CUP, Rig, place_in, repeated_after_stalls, sessions, wait_for

ADDED = {"name": "added", "role": "added", "column": 2}


class WholeRun(unittest.TestCase):
    def check_story(self, log):
        """The log tells the life of the run in order."""
        places = [log.find(word) for word in
                  ("ready", "run: suspected", "run: running", "run: watching", "corrected rise")]
        self.assertNotIn(-1, places, log)
        self.assertEqual(places, sorted(places), log)

    @repeated_after_stalls
    def test_talking_board(self):
        with Rig("one-trial.toml", probes=[CUP, ADDED]) as rig:
            rig.start()
            rig.wait_after_period(60)
            status = rig.status()
            self.assertTrue(status["well"], status["problems"])
            self.assertEqual([probe["faults"] for probe in status["probes"]], [{}, {}])
            run = rig.wait_run()
            last = wait_for(lambda: rig.status()["run"]["last_finished"], "the run in the status")
            self.assertEqual((last["id"], last["number"]), (run["id"], 1))
            record = run["record"]
            check_keys(self, record)
            check_rise(self, record, rig.truth()[0])
            self.assertEqual(record["mixing"]["found_by"], "detector")
            self.assertEqual(longest_gap_s(record), 0.0)
            self.assertEqual(rig.daemon.end(signal.SIGTERM)[0], 0, rig.daemon.log())
            self.check_story(rig.daemon.log())
            self.check_store(rig, record)

    def check_store(self, rig, record):
        """The store holds this record, and every reading of it, as the board sent it."""
        with rig.look() as store:
            texts = [row[0] for row in store.execute("SELECT record_json FROM run_record")]
            self.assertEqual([json.loads(text) for text in texts], [record])
            (values,) = sessions(store)
            self.assertIsNotNone(place_in(rig.trace(), values))
            # The run ends with a reading of the cup, the first probe.
            (count,) = store.execute(
                "SELECT count(*) FROM reading, run WHERE time_us BETWEEN first_us AND last_us "
                "AND (time_us < last_us OR probe = 1)").fetchone()
            self.assertEqual(record["readings"]["count"], count)
        store.close()

    @repeated_after_stalls
    def test_a_line_that_holds_readings_back(self):
        """For two seconds of the pour the port is silent, and then all of it comes at once."""
        with Rig("one-trial.toml") as rig:
            held = "\n[[fault]]\nat_s = 101.2\nkind = \"delay\"\nfor_s = 0.5\ndelay_s = 2.2\n"
            text = rig.scenario.read_text(encoding="utf-8") + held
            rig.scenario = rig.folder / "held.toml"
            rig.scenario.write_text(text, encoding="utf-8")
            rig.start()
            record = rig.wait_run()["record"]
            check_keys(self, record)
            check_rise(self, record, rig.truth()[0])
            late = next(f for f in record["findings"] if f["code"] == "readings-late")
            # At the least: a busy machine makes a few more of them late.
            self.assertGreaterEqual(late["values"]["readings"], 3)
            self.assertGreaterEqual(late["values"]["held_s"], 2.0)

    @repeated_after_stalls
    def test_polled_board(self):
        probe = {"name": "cup", "role": "cup", "key": "cup"}
        port = {"request": "R\n", "separator": "blank"}
        with Rig("polled.toml", probes=[probe], port=port) as rig:
            rig.start()
            rig.wait_after_period(60)
            status = rig.status()
            self.assertTrue(status["well"], status["problems"])
            self.assertGreater(status["sampler"]["ticks"], 100)
            record = rig.wait_run()["record"]
            check_keys(self, record)
            check_rise(self, record, rig.truth()[0])


if __name__ == "__main__":
    unittest.main()

"""SIGKILL at any moment: the store is whole, nothing acknowledged is lost, the run goes on."""

import signal
import time
import unittest

from records import check_keys, check_rise, longest_gap_s
from rig import Rig, integrity, place_in, repeated_after_stalls, sessions, wait_for

# Readings are with the disk after so long (machine time): while watching, and in a run.
PACE_WATCHING_S = 2.0
PACE_RUN_S = 0.25


class Kill(unittest.TestCase):
    def kill_after(self, rig, pace_s):
        """Kills the daemon when the readings that it tells of now must be with the disk.
        @return how many those are"""
        status = rig.status()
        # A commit under way may take some time more, twice the longest one so far at most.
        time.sleep(pace_s + 0.002 * status["store"]["longest_commit_ms"])
        rig.daemon.end(signal.SIGKILL)
        return status["probes"][0]["readings"]

    def go_on(self, rig):
        """Starts the daemon again after a gap that is long enough to be a finding, however fast
        the machine is."""
        time.sleep(4.0 / rig.speed)
        rig.start_daemon()

    def check_whole(self, rig, acknowledged):
        """The store that a kill left: sound, and with all that was acknowledged."""
        store = rig.look()
        self.assertEqual(integrity(store), ["ok"])
        blocks = sessions(store)
        self.assertGreaterEqual(len(blocks[-1]), acknowledged)
        place = 0
        for block in blocks:  # as the board sent them: no hole within a session, none twice
            place = place_in(rig.trace(), block, place)
            self.assertIsNotNone(place)
            place += len(block)
        store.close()

    def check_one_run(self, rig):
        """The run ends in one finished, correct record that tells of the gap."""
        record = rig.wait_run()["record"]
        check_keys(self, record)
        check_rise(self, record, rig.truth()[0])
        self.assertGreater(longest_gap_s(record), 1.0)
        self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
        store = rig.look()
        self.assertEqual(integrity(store), ["ok"])
        self.assertEqual(store.execute("SELECT status, revision FROM run").fetchall(),
                         [("finished", 1)])
        store.close()

    @repeated_after_stalls
    def test_in_the_after_period(self):
        with Rig("one-trial.toml", after_period_s=90) as rig:
            rig.start()
            rig.wait_after_period(40)
            self.check_whole(rig, self.kill_after(rig, PACE_RUN_S))
            self.go_on(rig)
            wait_for(lambda: "state: running" in rig.daemon.log(), "the run under way")
            self.check_one_run(rig)

    def test_while_watching(self):
        with Rig("one-trial.toml", after_period_s=90) as rig:
            rig.start()
            wait_for(lambda: rig.status()["probes"][0]["readings"] > 20, "readings")
            self.assertEqual(rig.state(), "watching")
            self.check_whole(rig, self.kill_after(rig, PACE_WATCHING_S))

    @repeated_after_stalls
    def test_during_the_rise(self):
        with Rig("one-trial.toml", after_period_s=90) as rig:
            rig.start()
            rig.wait_state("running")
            self.check_whole(rig, self.kill_after(rig, PACE_RUN_S))
            self.go_on(rig)
            self.check_one_run(rig)

    @repeated_after_stalls
    def test_again_and_again(self):
        with Rig("one-trial.toml", after_period_s=90) as rig:
            rig.start()
            for least_s in (20, 50, 80):
                rig.wait_after_period(least_s)
                self.check_whole(rig, self.kill_after(rig, PACE_RUN_S))
                self.go_on(rig)
            self.check_one_run(rig)

    @repeated_after_stalls
    def test_right_at_the_end(self):
        """Killed around the moment in which the record is stored: there is one, and one only."""
        for delay_s in (0.0, 0.05):
            with Rig("one-trial.toml", after_period_s=90) as rig:
                rig.start()
                rig.wait_after_period(60)
                wait_for(lambda: rig.state() == "watching", "the end of the run")
                time.sleep(delay_s)
                rig.daemon.end(signal.SIGKILL)
                self.check_whole(rig, 0)
                rig.start_daemon()
                record = rig.wait_run()["record"]
                check_rise(self, record, rig.truth()[0])
                self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
                store = rig.look()
                self.assertEqual(integrity(store), ["ok"])
                self.assertEqual(store.execute("SELECT count(*) FROM run").fetchone(), (1,))
                store.close()


if __name__ == "__main__":
    unittest.main()

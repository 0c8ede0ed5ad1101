"""What can be asked of the bench over its control socket."""

import unittest

from records import check_keys, check_rise
from rig import Rig, integrity, repeated_after_stalls, wait_for


class Requests(unittest.TestCase):
    def refused(self, rig, code, method, path, body=None):
        got, answer = rig.ask(method, path, body)
        self.assertEqual(got, code, answer)
        self.assertTrue(answer["error"], answer)

    @repeated_after_stalls
    def test_mark_and_finish(self):
        with Rig("one-trial.toml") as rig:
            rig.start()
            self.refused(rig, 409, "POST", "/v1/finish", {})  # no run is under way
            self.refused(rig, 400, "POST", "/v1/mark", {"seconds_ago": -1})
            self.refused(rig, 400, "POST", "/v1/mark", {"seconds_ago": "soon"})
            rig.wait_state("running")
            # Marked late, by one who had both hands busy but looked at the clock.
            ago_s = rig.scenario_s() - rig.truth()[0]["mixing_time_s"]
            code, answer = rig.ask("POST", "/v1/mark", {"seconds_ago": ago_s})
            self.assertEqual(code, 200, answer)
            rig.wait_after_period(120)
            self.assertEqual(rig.ask("POST", "/v1/finish", {})[0], 200)
            record = rig.wait_run()["record"]
            check_keys(self, record)
            check_rise(self, record, rig.truth()[0])
            after = record["periods"]["after"]
            self.assertLess(after["end_s"] - after["start_s"], 170.0)
            self.assertEqual(record["mixing"]["found_by"], "mark")

    def check_change(self, rig, path, status, revision):
        code, run = rig.ask("POST", path, {"reason": "spilt some"})
        self.assertEqual(code, 200, run)
        self.assertEqual((run["status"], run["revision"]), (status, revision))
        record = run["record"]
        self.assertEqual((record["status"], record["revision"]), (status, revision))

    @repeated_after_stalls
    def test_strike_and_restore(self):
        with Rig("one-trial.toml", after_period_s=60) as rig:
            rig.start()
            run = rig.wait_run()
            self.refused(rig, 400, "POST", "/v1/runs/1/strike", {})
            self.refused(rig, 400, "POST", "/v1/runs/1/strike", {"reason": ""})
            self.refused(rig, 404, "POST", "/v1/runs/7/strike", {"reason": "spilt some"})
            self.refused(rig, 404, "GET", "/v1/runs/7")
            self.refused(rig, 404, "GET", "/v1/teapot")
            self.refused(rig, 400, "POST", "/v1/runs/1/restore", {"reason": "not struck"})
            self.check_change(rig, "/v1/runs/1/strike", "struck", 2)
            self.refused(rig, 400, "POST", "/v1/runs/1/strike", {"reason": "again"})
            self.check_change(rig, f"/v1/runs/{run['id']}/restore", "finished", 3)
            self.assertEqual(rig.daemon.end()[0], 0)
            self.check_revisions(rig)

    def check_revisions(self, rig):
        """Nothing is deleted: all three revisions stand with who and why."""
        store = rig.look()
        self.assertEqual(integrity(store), ["ok"])
        rows = store.execute("SELECT revision, action, reason FROM run_record ORDER BY revision")
        self.assertEqual(rows.fetchall(), [(1, "finished", ""), (2, "struck", "spilt some"),
                                           (3, "restored", "spilt some")])
        store.close()

    def test_status_says_what_the_probe_does(self):
        with Rig("quiet.toml") as rig:
            rig.start()
            probe = wait_for(lambda: self.steady_probe(rig), "a steady probe")
            self.assertLess(abs(probe["drift_K_per_min"]), 0.1)
            self.assertLess(abs(probe["last_degC"] - 23.4), 1.0)
            self.assertLess(probe["age_s"], 10.0)
            status = rig.status()
            self.assertEqual((status["bench"], status["clock"]["speed"]), ("bench", rig.speed))
            self.assertEqual(rig.runs(), [])

    def steady_probe(self, rig):
        (probe,) = rig.status()["probes"]
        return probe if probe["steady_for_s"] is not None else None


if __name__ == "__main__":
    unittest.main()

"""Runs are given to the trials of the bench's sheet, and to others by hand."""

import json
import os
import subprocess
import unittest

from records import check_keys
from rig import CUP, Rig, repeated_after_stalls, wait_for

ADDED = {"name": "added", "role": "added", "column": 2}
SHEET = """[sheet]
title = "A day"
[conventions]
density_g_per_mL = 1.0
heat_capacity_J_per_g_K = 4.184
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = %s }
added = { substance = "water", volume_mL = 50.0 }
[[trial]]
name = "warmer"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 60.0 }
added = { substance = "water", volume_mL = 50.0 }
"""


def mixture_rise(record, cup_mL):
    """Final temperature less the mean of both contents, weighted with their volumes."""
    cup, added, final = (record["temperatures"][key]["value"] for key in
                         ("cup_at_mixing_degC", "added_at_mixing_degC", "final_degC"))
    return final - (cup_mL * cup + 50.0 * added) / (cup_mL + 50.0)


class Assign(unittest.TestCase):
    def nestcup(self, rig, *words):
        return subprocess.run([os.environ["NESTCUP"], *words, "--bench", str(rig.bench_path)],
                              capture_output=True, encoding="utf-8", timeout=60, check=False)

    def next_trial(self, rig):
        following = rig.status()["sheet"]["next_trial"]
        return following and (following["name"], following["number"])

    def check_given(self, rig):
        wait_for(lambda: self.next_trial(rig) == ("warm", 1), "the first trial")
        record = rig.wait_run()["record"]
        check_keys(self, record)
        self.assertEqual(record["trial"],
                         {"name": "warm", "number": 1, "purpose": "calorimeter constant"})
        self.assertEqual(record["sheet"]["title"], "A day")
        self.assertAlmostEqual(record["mixture_rise_K"]["value"], mixture_rise(record, 100.0))
        wait_for(lambda: "run 1 is trial warm, repeat 1" in rig.daemon.log(), "the log's word")
        self.assertEqual(self.next_trial(rig), ("warmer", 1))

    def check_refused(self, rig):
        for code, body in ((400, {}), (400, {"trial": 3}), (400, {"trial": "wram"}),
                           (400, {"trial": "warm"}), (422, {"trial": "warm", "sheet_text": "x"})):
            got, answer = rig.ask("POST", "/v1/runs/1/assign", body)
            self.assertEqual(got, code, answer)
        self.assertEqual(rig.ask("POST", "/v1/runs/9/assign", {"trial": "warm"})[0], 404)

    def check_mended(self, rig):
        done = self.nestcup(rig, "assign", "1", "warmer", "--reason", "was the warmer one")
        self.assertEqual((done.returncode, done.stdout), (0, "run 1 is trial warmer, repeat 1\n"),
                         done.stderr)
        record = rig.runs()[0]["record"]
        self.assertEqual((record["revision"], record["trial"]["name"]), (2, "warmer"))
        self.assertAlmostEqual(record["mixture_rise_K"]["value"], mixture_rise(record, 60.0))
        self.assertEqual(self.next_trial(rig), ("warm", 1))
        status = self.nestcup(rig, "status").stdout
        self.assertIn("A day; next: trial warm, repeat 1 (calorimeter constant)", status)
        self.assertEqual(rig.ask("POST", "/v1/runs/1/strike", {"reason": "spilt"})[0], 200)
        self.assertEqual(rig.ask("POST", "/v1/runs/1/restore", {"reason": "not spilt"})[0], 200)
        # The daemon writes the store, and says so to whoever else wants to.
        refused = self.nestcup(rig, "recompute")
        self.assertEqual(refused.returncode, 75, refused.stderr)
        self.assertIn("nestcupd", refused.stderr)

    def check_after_the_end(self, rig):
        """Without the daemon the command writes; a corrected amount makes another revision."""
        done = self.nestcup(rig, "assign", "1", "warm")
        self.assertEqual(done.returncode, 0, done.stderr)
        (rig.folder / "day.toml").write_text(SHEET % 90.0, encoding="utf-8")
        before = json.loads(self.nestcup(rig, "show", "1", "--json").stdout)
        done = self.nestcup(rig, "recompute")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("run 1: sheet changed", done.stdout)
        after = json.loads(self.nestcup(rig, "show", "1", "--json").stdout)
        self.assertEqual(after["revision"], before["revision"] + 1)
        self.assertEqual(after["corrected_rise_K"], before["corrected_rise_K"])
        self.assertAlmostEqual(after["mixture_rise_K"]["value"], mixture_rise(after, 90.0))
        self.assertIn("0 of 1 runs changed", self.nestcup(rig, "recompute").stdout)

    @repeated_after_stalls
    def test_a_run_from_its_trial_to_another(self):
        with Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=60,
                 sheet="day.toml") as rig:
            (rig.folder / "day.toml").write_text(SHEET % 100.0, encoding="utf-8")
            rig.start()
            self.check_given(rig)
            self.check_refused(rig)
            self.check_mended(rig)
            self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
            self.check_after_the_end(rig)


if __name__ == "__main__":
    unittest.main()

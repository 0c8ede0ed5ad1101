#!/usr/bin/env python3
"""The whole job: the demo, and every command on what it leaves."""

import hashlib
import json
import pathlib
import re
import subprocess
import tempfile
import sys
import unittest

from commands import NESTCUP, nestcup, records, same_but_for_id

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "report" / "chain"))
from walk import Walk  # noqa: E402


class Demo(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.keeper = tempfile.TemporaryDirectory()
        cls.folder = pathlib.Path(cls.keeper.name) / "day"
        cls.result = nestcup("demo", "--out", cls.folder)

    @classmethod
    def tearDownClass(cls):
        cls.keeper.cleanup()

    def nestcup(self, *words, **more):
        return nestcup(*words, "--bench", self.folder / "bench.toml", **more)

    def test_every_rise_lies_within_3u_of_the_truth(self):
        self.assertEqual(self.result.returncode, 0, self.result.stdout + self.result.stderr)
        truth = json.loads((self.folder / "truth.json").read_text())
        self.assertEqual(len(truth), 7)
        for run_id, mixing in truth.items():
            record = json.loads(self.nestcup("show", run_id, "--json").stdout)
            rise = record["corrected_rise_K"]
            off = abs(rise["value"] - mixing["corrected_rise_K"])
            self.assertLess(off, 3 * rise["u"], mixing)
            time_off = abs(record["mixing"]["time_s"]["value"] - mixing["mixing_time_s"])
            self.assertLess(time_off, 5.0, mixing)

    def test_every_run_belongs_to_the_trial_that_was_simulated(self):
        truth = json.loads((self.folder / "truth.json").read_text())
        for run in (self.folder / "notebook").glob("*/"):
            record = json.loads((run / "run.json").read_text())
            mixing = truth[record["id"]]
            self.assertEqual((record["trial"]["name"], record["trial"]["number"]),
                             (mixing["trial"], mixing["number"]))

    def check_within_3u(self, quantity, truth):
        self.assertGreater(quantity["u"], 0.0)
        self.assertLess(abs(quantity["value"] - truth), 3 * quantity["u"], quantity)

    def test_the_sheet_is_worked_out(self):
        """Truth: what the comment on top of oxide-day.toml says, and the cycle that it closes."""
        results = json.loads((self.folder / "results.json").read_text())
        self.check_within_3u(results["calorimeter_constant_J_per_K"], 28.0)
        trials = {trial["name"]: trial for trial in results["trials"]}
        runs = {name: trial["runs"] for name, trial in trials.items()}
        self.assertEqual(runs, {"warm": 2, "oxide": 2, "metal": 2, "salt": 1})
        for name, truth in (("oxide", -151.23), ("metal", -467.0), ("salt", 14.78)):
            self.check_within_3u(trials[name]["delta_H_25_kJ_per_mol"], truth)
        cycle = results["cycle"]
        self.check_within_3u(cycle["delta_H_kJ_per_mol"], -601.6)
        self.assertLess(cycle["delta_H_kJ_per_mol"]["u"], 3.0)
        self.assertLessEqual(abs(cycle["E_n"]), 1.0)

    def test_what_is_worked_out_is_what_nestcup_results_prints(self):
        for name, words in (("results.json", ["--json"]), ("results.txt", [])):
            self.assertEqual(self.nestcup("results", *words).stdout,
                             (self.folder / name).read_text())

    def test_the_chain_is_printed_and_on_the_page(self):
        page = (self.folder / "report.html").read_text()
        for words in ("calorimeter constant +2[0-9.]+ . [0-9.]+ J/K", "oxide +-1[0-9.]+ .*kJ/mol",
                      "metal +-4[0-9.]+ .*kJ/mol", "cycle +-[0-9]+.*MgO", "closure +E_n "):
            self.assertRegex(self.result.stdout, words)
        for words in ("Sum of the cycle", "beside what was simulated", "E<sub>n</sub>"):
            self.assertIn(words, page)

    def test_every_number_of_the_report_follows_from_those_above_it(self):
        walk = Walk((self.folder / "report.html").read_text()).all()
        self.assertGreater(walk.steps, 150)
        self.assertEqual(walk.page.figures, 9)  # seven runs, the budget, the cycle

    def test_readings_by_hand_are_worse(self):
        found = re.search(r"([0-9.]+) mK here, ([0-9.]+) mK by hand", self.result.stdout)
        self.assertIsNotNone(found, self.result.stdout)
        self.assertGreater(float(found[2]), 3 * float(found[1]))

    def test_what_is_left_in_the_folder(self):
        for name in ("bench.toml", "sheet.toml", "truth.json", "report.html", "demo.db",
                     "results.json", "results.txt"):
            self.assertTrue((self.folder / name).is_file(), name)
        runs = sorted((self.folder / "notebook").glob("*/"))
        self.assertEqual(len(runs), 7)
        for run in runs:
            chart = (run / "chart.svg").read_text()
            self.assertTrue(chart.startswith("<?xml"))
            self.assertIn("Corrected temperature rise", chart)
            self.assertTrue((run / "chart.png").read_bytes().startswith(b"\x89PNG"))
        self.assertFalse((self.folder / "demo.sock").exists())

    def test_replaying_an_export_gives_the_identical_record(self):
        for run in (self.folder / "notebook").glob("*/"):
            stored = json.loads((run / "run.json").read_text())
            rows = [line for line in (run / "readings.csv").read_bytes().splitlines(keepends=True)
                    if not line.startswith(b"#")]
            self.assertEqual(hashlib.sha256(b"".join(rows)).hexdigest(),
                             stored["readings"]["sha256"])
            again = records(nestcup("replay", "--json", run / "readings.csv"))
            self.assertEqual(len(again), 1)
            self.assertTrue(same_but_for_id(stored, again[0]), run)
            exported = self.nestcup("export", stored["id"][-8:])
            self.assertEqual(exported.stdout, (run / "readings.csv").read_text())

    def test_all_belongs_together(self):
        for words in (["verify"], ["verify", self.folder / "notebook"]):
            checked = self.nestcup(*words) if len(words) == 1 else nestcup(*words)
            self.assertEqual(checked.returncode, 0, checked.stdout + checked.stderr)

    def test_runs_and_charts(self):
        self.assertEqual(len(self.nestcup("runs").stdout.splitlines()), 8)
        self.assertEqual(len(self.nestcup("runs", "--json").stdout.splitlines()), 7)
        chart = self.folder / "run2.svg"
        self.assertEqual(self.nestcup("show", 2, "--chart", chart).returncode, 0)
        self.assertTrue(chart.is_file())
        self.assertEqual(self.nestcup("show", 2, "--chart", chart).returncode, 73)
        self.assertEqual(self.nestcup("show", 99).returncode, 66)

    def test_striking_out_and_restoring(self):
        struck = self.nestcup("strike", 3, "--reason", "lid was off")
        self.assertEqual(struck.returncode, 0, struck.stderr)
        shown = self.nestcup("show", 3).stdout
        self.assertIn("struck out", shown)
        self.assertIn("lid was off", shown)
        record = json.loads(self.nestcup("show", 3, "--json").stdout)
        self.assertEqual((record["status"], record["revision"]), ("struck", 2))
        self.assertEqual(self.nestcup("strike", 3, "--reason", "again").returncode, 64)
        self.assertEqual(self.nestcup("strike", 3).returncode, 64)
        self.assertEqual(self.nestcup("restore", 3, "--reason", "wrong run").returncode, 0)
        record = json.loads(self.nestcup("show", 3, "--json").stdout)
        self.assertEqual((record["status"], record["revision"]), ("finished", 3))

    def test_no_daemon_answers_any_more(self):
        for words in (["status"], ["mark"], ["finish"]):
            self.assertEqual(self.nestcup(*words).returncode, 69, words)

    def test_a_folder_that_is_not_empty_is_left_alone(self):
        before = sorted(self.folder.iterdir())
        self.assertEqual(nestcup("demo", "--out", self.folder).returncode, 73)
        self.assertEqual(sorted(self.folder.iterdir()), before)

    def test_days_and_speeds_that_there_are_not(self):
        for words in (["--day", "oxyde"], ["--speed", "500"], ["--speed", "fast"]):
            folder = self.folder.parent / "never"
            result = nestcup("demo", "--out", folder, *words)
            self.assertEqual(result.returncode, 64, result.stderr)
            self.assertFalse(folder.exists())
        self.assertIn('"oxide"', nestcup("demo", "--day", "oxyde").stderr)

    def test_a_reader_that_goes_away_is_no_failure(self):
        shell = f"'{NESTCUP}' runs --json --bench '{self.folder}/bench.toml' | head -c 1; " \
                "exit ${PIPESTATUS[0]}"
        self.assertEqual(subprocess.run(["bash", "-c", shell], capture_output=True, timeout=60,
                                        check=False).returncode, 0)


if __name__ == "__main__":
    unittest.main()

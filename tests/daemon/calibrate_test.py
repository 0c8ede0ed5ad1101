"""A probe with errors is calibrated at the running bench, and reads true from then on."""

import json
import os
import signal
import subprocess
import unittest

from records import check_keys
from rig import CUP, Rig, repeated_after_stalls, wait_for

WARM_DEGC, COLD_DEGC = 48.0, 14.0
# The cup's probe shows 0.35 K too much at 20 degC, and 4 mK more for each kelvin above. It stands
# in the warm vessel, then in the cold cup; nothing drifts until something is poured.
PROBE_OFFSET_K, PROBE_SCALE = 0.35, 0.004
SCENARIO = f"""[scenario]
name = "calibrated"
seed = 5
duration_s = 3000
interval_s = 0.5
[room]
temperature_degC = 21.0
[cup]
heat_capacity_J_per_K = 237.0
temperature_degC = {COLD_DEGC}
leak_W_per_K = 0.0
stirring_W = 0.0
[added]
temperature_degC = {WARM_DEGC}
leak_per_s = 0.0
[[probe]]
name = "cup"
place = "added"
lag_s = 4.0
noise_K = 0.008
step_K = 0.001
offset_K = {PROBE_OFFSET_K}
scale_error = {PROBE_SCALE}
[[probe]]
name = "added"
place = "added"
lag_s = 4.0
noise_K = 0.008
step_K = 0.001
offset_K = -0.2
[[event]]
at_s = {{carry_s}}
what = "carry"
probe = "cup"
to = "cup"
"""
MIX = """[[event]]
at_s = {mix_s}
what = "mix"
trial = "warm"
pour_s = 2.0
added_J_per_K = 205.6
from = "added"
"""
ADDED = {"name": "added", "role": "added", "column": 2}


class CalibratedRig(Rig):
    """A bench with the scenario above, and the command line beside it."""

    def __init__(self, carry_s=130.0, mix_s=None, **more):
        super().__init__("one-trial.toml", probes=[CUP, ADDED], **more)
        self.scenario = self.folder / "scenario.toml"
        text = SCENARIO.format(carry_s=carry_s)
        if mix_s:
            text += MIX.format(mix_s=mix_s)
        self.scenario.write_text(text, encoding="utf-8")

    def calibrate(self, *words, text=""):
        return subprocess.run(
            [os.environ["NESTCUP"], "calibrate", "--bench", str(self.bench_path), *words],
            input=text, capture_output=True, text=True, timeout=120, check=False)

    def calibrated(self, test, *words):
        result = self.calibrate("--json", *words)
        test.assertEqual(result.returncode, 0, result.stderr)
        return json.loads(result.stdout)

    def last_degC(self, name):
        (probe,) = [probe for probe in self.status()["probes"] if probe["name"] == name]
        return probe["last_degC"]


class Calibrate(unittest.TestCase):
    def check_line(self, stored):
        """true = reading - 0.35 - 0.004 (true - 20), solved for the reading."""
        self.assertEqual((stored["kind"], stored["number"], stored["probe"]), ("line", 1, "cup"))
        slope = 1.0 / (1.0 + PROBE_SCALE) - 1.0
        got = stored["slope_K_per_K"]
        self.assertLess(abs(got["value"] - slope), 3.0 * got["u"])
        for true_degC in (14.0, 30.0, 48.0):
            reading = true_degC + PROBE_OFFSET_K + PROBE_SCALE * (true_degC - 20.0)
            away_K = reading - stored["reference_degC"]
            corrected = reading + stored["offset_K"]["value"] + got["value"] * away_K
            u = (stored["offset_K"]["u"] ** 2 + (got["u"] * away_K) ** 2) ** 0.5
            self.assertLess(u, 0.02)
            self.assertLessEqual(abs(corrected - true_degC), 3.0 * u)

    @repeated_after_stalls
    def test_two_points_then_a_run(self):
        with CalibratedRig(carry_s=130.0, mix_s=420.0) as rig:
            rig.start()
            answer = rig.calibrated(
                self, "cup", "--reference-degC", str(WARM_DEGC), "--reference-degC",
                str(COLD_DEGC), "--u-mK", "5", "--average-s", "40", "--yes", "--note", "test")
            (stored,) = answer["stored"]
            self.check_line(stored)
            self.assertEqual(len(answer["fit"]["residuals_K"]), 2)
            self.assertLess(rig.scenario_s(), 360.0, "the calibration took too long for the run")
            wait_for(lambda: abs(rig.last_degC("cup") - COLD_DEGC) < 0.05, "corrected readings")
            self.check_run(rig, rig.wait_run()["record"])
            self.check_stored(rig)
            self.check_restart(rig)

    def check_run(self, rig, record):
        """The run that follows is true within its u, and says by what it was corrected."""
        check_keys(self, record)
        cup, added = record["probes"]
        self.assertEqual((cup["calibration"]["number"], cup["calibration"]["points"]), (1, 2))
        self.assertEqual((cup["calibration"]["from_degC"], cup["calibration"]["to_degC"]),
                         (COLD_DEGC, WARM_DEGC))
        self.assertIsNone(added["calibration"])
        rise, truth = record["corrected_rise_K"], rig.truth()[0]["corrected_rise_K"]
        self.assertLessEqual(abs(rise["value"] - truth), 3.0 * rise["u"])
        # Uncorrected the rise would be 4 parts in a thousand, 63 mK, too large. (The u is mostly
        # the leak's, which nothing shows in a cup that does not leak.)
        self.assertLess(abs(rise["value"] - truth), 0.25 * PROBE_SCALE * truth)
        self.assertIn("scale of the probe, from its calibration",
                      [line["source"] for line in record["corrected_rise_K"]["budget"]])
        self.assertNotIn("calibration-old", [finding["code"] for finding in record["findings"]])

    def check_stored(self, rig):
        """The raw values stay as they came, and each row of the probe knows its calibration."""
        with rig.look() as store:
            rows = store.execute(
                "SELECT settings_json, count(*), max(abs(temperature_degC - raw)), count(raw) "
                "FROM reading JOIN probe ON probe = probe.id WHERE name = 'cup' "
                "GROUP BY probe ORDER BY probe").fetchall()
            self.assertEqual(len(rows), 2)
            self.assertIsNone(json.loads(rows[0][0])["calibration"])
            self.assertEqual(rows[0][3], 0)  # the temperature is the raw value itself
            self.assertEqual(json.loads(rows[1][0])["calibration"]["number"], 1)
            self.assertEqual(rows[1][1], rows[1][3])
            calibration = json.loads(rows[1][0])["calibration"]
            worst = 0.0
            for degC, raw in store.execute(
                    "SELECT temperature_degC, raw FROM reading JOIN probe ON probe = probe.id "
                    "WHERE name = 'cup' AND raw IS NOT NULL"):
                away_K = raw - calibration["reference_degC"]
                corrected = (raw + calibration["offset_K"]["value"]
                             + calibration["slope_K_per_K"]["value"] * away_K)
                worst = max(worst, abs(corrected - degC))
            self.assertLess(worst, 1e-9)
            (row,) = store.execute("SELECT kind, note, who FROM calibration").fetchall()
            self.assertEqual(row[:2], ("line", "test"))
            self.assertTrue(row[2])
        store.close()

    def check_restart(self, rig):
        """A daemon started again corrects as before; the run replays to the same record."""
        record = rig.runs()[0]["record"]
        self.assertEqual(rig.daemon.end(signal.SIGTERM)[0], 0)
        trace = rig.folder / "run.csv"
        subprocess.run([os.environ["NESTCUP"], "export", "1", "--bench", str(rig.bench_path),
                        "--out", str(trace)], check=True, capture_output=True, timeout=60)
        replayed = subprocess.run([os.environ["NESTCUP"], "replay", "--json", str(trace)],
                                  check=True, capture_output=True, text=True, timeout=60)
        again = json.loads(replayed.stdout)
        for key in ("id", "started_at", "mixed_at", "finished_at"):
            again.pop(key), record.pop(key)
        self.assertEqual(again, record)
        rig.start_daemon()
        shown = wait_for(lambda: rig.last_degC("cup"), "a reading after the restart")
        final = record["temperatures"]["final_degC"]["value"]
        self.assertLess(abs(shown - final), 0.05)

    @repeated_after_stalls
    def test_compare_undo_and_list(self):
        with CalibratedRig(carry_s=2900.0) as rig:
            rig.start()
            # In the warm vessel the cup's probe shows 0.35 + 28 * 0.004 K more than is there.
            difference_K = PROBE_OFFSET_K + PROBE_SCALE * (WARM_DEGC - 20.0) + 0.2
            told = rig.calibrated(self, "added", "--compare", "cup", "--average-s", "30", "--yes")
            (row,) = told["stored"]
            self.assertLess(abs(row["difference_K"]["value"] + difference_K),
                            3.0 * row["difference_K"]["u"])
            self.assertLess(row["difference_K"]["u"], 0.01)
            # Asked the other way round, it is still the second vessel's that is corrected.
            told = rig.calibrated(self, "cup", "--compare", "added", "--average-s", "30", "--yes",
                                  "--apply")
            self.assertEqual([row["probe"] for row in told["stored"]], ["cup", "added"])
            self.assertEqual(told["stored"][1]["against"], "cup")
            wait_for(lambda: abs(rig.last_degC("added") - rig.last_degC("cup")) < 0.06,
                     "probes that agree")
            self.check_undo(rig)

    def check_undo(self, rig):
        undone = rig.calibrated(self, "added", "--undo")
        self.assertEqual(undone["stored"][0]["kind"], "none")
        wait_for(lambda: abs(rig.last_degC("added") - WARM_DEGC + 0.2) < 0.06, "readings as before")
        again = rig.calibrated(self, "added", "--again", "3")
        self.assertEqual(again["stored"][0]["again"], 3)
        wrong = rig.calibrate("cup", "--again", "3")
        self.assertEqual(wrong.returncode, 66, wrong.stderr)
        self.assertIn("no calibration number 3", wrong.stderr)
        lines = rig.calibrate("--list", "--json").stdout.splitlines()
        self.assertEqual([json.loads(line)["kind"] for line in lines],
                         ["difference", "difference", "offset", "none", "again"])

    @repeated_after_stalls
    def test_plunge(self):
        with CalibratedRig(carry_s=100.0) as rig:
            rig.start()
            (row,) = rig.calibrated(self, "cup", "--lag")["stored"]
            lag = row["time_constant_s"]
            # The simulated probe lags by 4 s; readings come every 0.5 s, stamped as they come.
            self.assertLess(abs(lag["value"] - 4.0), 3.0 * lag["u"] + 0.05)
            self.assertLess(lag["u"], 0.1)

    @repeated_after_stalls
    def test_guided_by_a_person(self):
        with CalibratedRig(carry_s=2900.0) as rig:
            rig.start()
            result = rig.calibrate("cup", "--average-s", "20", text=f"{WARM_DEGC}\n\n\n")
            self.assertEqual(result.returncode, 0, result.stderr)
            for words in ("Next point", "Press Enter", "scald", "mean", "drift"):
                self.assertIn(words, result.stderr)
            self.assertIn("residual", result.stdout)
            self.assertIn("holds from now on", result.stdout)
            wait_for(lambda: abs(rig.last_degC("cup") - WARM_DEGC) < 0.06, "corrected readings")

    def test_wrong_calls(self):
        with CalibratedRig(carry_s=2900.0) as rig:
            without = rig.calibrate("cup", "--ice", "--yes")
            self.assertEqual(without.returncode, 69, without.stderr)
            self.assertIn("no daemon runs", without.stderr)
            rig.start()
            for words, code, said in [
                    (["nothing", "--ice", "--yes"], 66, "no probe"),
                    (["cup", "--steam", "--yes"], 64, "--pressure-hPa"),
                    (["cup", "--steam", "--pressure-hPa", "101325", "--yes"], 64, "air pressure"),
                    (["cup", "--yes"], 64, "name the points"),
                    (["cup"], 64, "standard input"),
                    (["cup", "--apply"], 64, "--compare"),
                    (["cup", "--lag", "--ice"], 64, "one thing at a time"),
                    (["cup", "--undo"], 66, "never calibrated"),
                    (["cup", "--ice", "--yes", "--average-s", "10"], 65, "right vessel")]:
                result = rig.calibrate(*words)
                self.assertEqual(result.returncode, code, f"{words}: {result.stderr}")
                self.assertIn(said, result.stderr.splitlines()[-1])
            self.assertEqual(rig.ask("GET", "/v1/calibrations")[1]["calibrations"], [])
            for body in ({}, {"probe": "cup"}, {"probe": "cup", "kind": "line", "points": 3},
                         {"probe": "cup", "kind": "offset", "points": [{"true_degC": "x"}]},
                         {"probe": "cup", "kind": "time constant", "value_s": -1, "u_s": 0}):
                self.assertIn(rig.ask("POST", "/v1/calibrations", body)[0], (400, 404), body)
            self.assertEqual(rig.ask("GET", "/v1/probes/3/readings")[0], 404)
            self.assertEqual(rig.ask("GET", "/v1/probes/1/readings?after_us=x")[0], 400)


if __name__ == "__main__":
    unittest.main()

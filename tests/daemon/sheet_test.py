"""The sheet while the bench runs: what it says over the control socket, which trial comes next,
amounts that are set in its file, and a file that a person has changed."""

import hashlib
import http.client
import json
import os
import pathlib
import subprocess
import sys
import unittest

from rig import CUP, Rig, repeated_after_stalls, wait_for

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "faults"))

from faults import read_log, surroundings  # noqa: E402 (the folder must be known first)

ADDED = {"name": "added", "role": "added", "column": 2}
SHEET = """# written by hand\r
[sheet]
title = "A day \u00e4"
[conventions]
density_g_per_mL = 1.0
heat_capacity_J_per_g_K = 4.184
[[instrument]]
name = "cylinder"
u_volume_mL = 0.25
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 1.00e2, by = "cylinder" } # the tall one
added = { substance = "water", volume_mL = 50.0 }
[[trial]]
name = "warmer"
purpose = "calorimeter constant"
repeats = 2
cup = { substance = "water", volume_mL = 60.0 }
added.substance = "water"
  added.volume_mL = 50   # as poured
"""


def digest(text):
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


class SheetRig(Rig):
    """A bench with the sheet."""

    def __init__(self, **bench):
        super().__init__("one-trial.toml", probes=[CUP, ADDED], sheet="day.toml",
                         after_period_s=60, **bench)
        self.sheet_path = self.folder / "day.toml"
        self.write_sheet(SHEET)

    def write_sheet(self, text):
        self.sheet_path.write_bytes(text.encode("utf-8"))

    def sheet_text(self):
        return self.sheet_path.read_bytes().decode("utf-8")

    def sheet(self):
        code, answer = self.ask("GET", "/v1/sheet")
        assert code == 200, answer
        return answer["sheet"]

    def set(self, trial, part, key, value, **more):
        return self.ask("POST", "/v1/amounts",
                        {"trial": trial, "part": part, "key": key, "value": value, **more})

    def nestcup(self, *words):
        return subprocess.run([os.environ["NESTCUP"], *words, "--bench", str(self.bench_path)],
                              capture_output=True, encoding="utf-8", timeout=60, check=False)

    def events(self, kind):
        """What the store has of a kind; looked at with the daemon at rest."""
        rows = self.look().execute("SELECT detail FROM event WHERE kind = ? ORDER BY time_us",
                                   [kind])
        return [json.loads(row[0]) for row in rows]


class Amounts(unittest.TestCase):
    def check_told(self, rig):
        sheet = rig.sheet()
        self.assertEqual((sheet["title"], sheet["sha256"]), ("A day \u00e4", digest(SHEET)))
        self.assertIs(sheet["file_changed"], False)
        warm, warmer = sheet["trials"]
        self.assertEqual((warm["name"], warm["purpose"], warm["equation"], warm["repeats"],
                          warm["runs"]), ("warm", "calorimeter constant", None, 1, []))
        self.assertEqual(warm["amounts"][0],
                         {"part": "cup", "key": "volume_mL", "value": 100.0, "u": 0.25,
                          "u_key": "u_volume_mL", "u_from": "cylinder"})
        self.assertEqual(warmer["repeats"], 2)
        self.assertIn({"part": "added", "key": "temperature_degC", "value": None, "u": None,
                       "u_key": "u_temperature_K", "u_from": None}, warmer["amounts"])

    def check_set(self, rig):
        """Each change is one number in the file; set back in turn, the file is as it was."""
        os.chmod(rig.sheet_path, 0o640)
        changed = SHEET.replace("volume_mL = 50   #", "volume_mL = 49.25   #")
        code, answer = rig.set("warmer", "added", "volume_mL", 49.25, reason="as weighed")
        self.assertEqual(code, 200, answer)
        self.assertEqual((answer["before"], answer["value"], answer["changed"]),
                         (50.0, 49.25, True))
        self.assertEqual(rig.sheet_text(), changed)
        self.assertEqual(rig.sheet_path.stat().st_mode & 0o7777, 0o640)
        self.assertEqual(rig.status()["sheet"]["sha256"], digest(changed))
        self.assertEqual(rig.sheet()["trials"][1]["amounts"][4]["value"], 49.25)
        code, answer = rig.set("warm", "added", "temperature_degC", 61)
        self.assertEqual((code, answer["before"]), (200, None), answer)
        added = changed.replace("volume_mL = 50.0 }", "volume_mL = 50.0, temperature_degC = 61.0 }")
        self.assertEqual(rig.sheet_text(), added)
        self.assertEqual(rig.set("warm", "added", "temperature_degC", None)[0], 200)
        code, answer = rig.set("warmer", "added", "volume_mL", 49.25)
        self.assertEqual((code, answer["changed"]), (200, False), answer)
        self.assertEqual(rig.sheet_text(), changed)

    def check_refused(self, rig):
        before = rig.sheet_text()
        sound = {"trial": "warm", "part": "cup", "key": "volume_mL", "value": 1.0}
        for code, change in ((400, {"trial": "wram"}), (400, {"part": "lid"}), (400, {"key": "by"}),
                             (400, {"value": "1"}), (400, {"value": True}), (400, {"trial": 3}),
                             (400, {"reason": 3}), (422, {"value": 0}), (422, {"value": -1.0}),
                             (422, {"value": None}), (422, {"key": "mass_g"})):
            got, answer = rig.ask("POST", "/v1/amounts", sound | change)
            self.assertEqual(got, code, answer)
            self.assertTrue(answer["error"]["text"], answer)
        self.assertEqual(rig.ask("POST", "/v1/amounts", {"trial": "warm"})[0], 400)
        self.assertIn("day.toml:13:", rig.set("warm", "cup", "volume_mL", 0)[1]["error"]["text"])
        self.assertEqual(rig.sheet_text(), before)
        self.assertEqual(rig.status()["sheet"]["sha256"], digest(before))

    def check_somebody_else(self, rig):
        """A file that a person changed is not written over, and is taken up when asked."""
        mine = rig.sheet_text().replace("volume_mL = 60.0", "volume_mL = 61.0") + "# mine\n"
        rig.write_sheet(mine)
        self.assertIs(rig.sheet()["file_changed"], True)
        code, answer = rig.set("warm", "cup", "volume_mL", 90.0)
        self.assertEqual((code, rig.sheet_text()), (409, mine), answer)
        self.assertIn("nestcup sheet reload", answer["error"]["text"])
        done = rig.nestcup("sheet", "reload")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual(rig.status()["sheet"]["sha256"], digest(mine))
        self.assertIs(rig.ask("POST", "/v1/sheet/reload", {})[1]["changed"], False)
        rig.write_sheet(mine.replace("volume_mL = 61.0", "volume_mL = 0.0").replace(
            'name = "warm"', 'nam = "warm"'))
        code, answer = rig.ask("POST", "/v1/sheet/reload", {})
        self.assertEqual(code, 422, answer)
        self.assertIn("day.toml:11:", answer["error"]["text"])
        self.assertIn("day.toml:19:", answer["error"]["text"])
        self.assertEqual(rig.status()["sheet"]["sha256"], digest(mine))
        rig.write_sheet(mine)
        done = rig.nestcup("amount", "warm", "cup", "volume_mL", "90", "--reason", "spilt")
        self.assertEqual((done.returncode, done.stdout),
                         (0, "warm cup.volume_mL: 90.0, was 100.0\n"), done.stderr)
        self.assertEqual(rig.sheet_text(), mine.replace("1.00e2", "90.0"))
        self.assertEqual(rig.nestcup("amount", "warm", "cup", "volume_mL", "much").returncode, 64)
        self.assertEqual(rig.nestcup("amount", "warm", "cup", "volume_mL", "0").returncode, 65)

    def check_kept(self, rig):
        """Nothing is lost: every text that was in use, and who changed what, when and why."""
        code, _ = rig.daemon.end()
        self.assertEqual(code, 0, rig.daemon.log())
        texts = {row[0] for row in rig.look().execute("SELECT text FROM sheets")}
        self.assertIn(SHEET, texts)
        self.assertIn(rig.sheet_text().replace("volume_mL = 90.0", "volume_mL = 1.00e2"), texts)
        first, *_, last = rig.events("amount")
        self.assertEqual((first["trial"], first["part"], first["key"], first["from"], first["to"],
                          first["reason"]), ("warmer", "added", "volume_mL", 50.0, 49.25,
                                             "as weighed"))
        self.assertEqual(first["sheet_sha256_before"], digest(SHEET))
        self.assertEqual((last["to"], last["reason"]), (90.0, "spilt"))
        self.assertTrue(last["who"])
        self.assertEqual(len(rig.events("amount")), 4)
        self.assertEqual(len(rig.events("sheet")), 1)
        rig.start_daemon()
        self.assertEqual(rig.status()["sheet"]["sha256"], digest(rig.sheet_text()))

    def test_amounts_are_set_in_the_file(self):
        with SheetRig() as rig:
            rig.start_daemon()
            self.check_told(rig)
            self.check_set(rig)
            self.check_refused(rig)
            self.check_somebody_else(rig)
            self.check_kept(rig)

    def test_a_bench_without_a_sheet(self):
        with Rig("one-trial.toml") as rig:
            rig.start_daemon()
            self.assertEqual(rig.ask("GET", "/v1/sheet"), (200, {"sheet": None}))
            for path, body in (("/v1/trial", {"trial": "warm"}), ("/v1/sheet/reload", {}),
                               ("/v1/amounts", {"trial": "warm", "part": "cup", "key": "mass_g",
                                                "value": 1})):
                code, answer = rig.ask("POST", path, body)
                self.assertEqual(code, 400, answer)
                self.assertIn("no sheet", answer["error"]["text"])

    def test_a_crash_leaves_the_old_sheet_or_the_new_one(self):
        """The daemon kills itself before and behind each step of putting a file in its place."""
        old, new = SHEET, SHEET.replace("1.00e2", "90.0")
        seen = {}
        for kind in ("kill", "kill_after"):
            for step in range(1, 20):
                with SheetRig() as rig:
                    log = rig.folder / "steps"
                    paths = [f"{rig.folder}/day.toml", f"{rig.folder}/.day.toml"]
                    rig.start_daemon(env=surroundings(paths, log, at=step, kind=kind))
                    try:
                        code, answer = rig.set("warm", "cup", "volume_mL", 90.0)
                        self.assertEqual(code, 200, answer)
                        break
                    except (http.client.HTTPException, OSError):
                        wait_for(lambda: not rig.daemon.runs(), "the crash")
                    self.assertTrue(read_log(log)[-1].had_fault())
                    text = rig.sheet_text()
                    self.assertIn(text, (old, new))
                    seen.setdefault(kind, set()).add(text)
                    rig.start_daemon()
                    self.assertEqual(rig.status()["sheet"]["sha256"], digest(text))
                    code, answer = rig.set("warm", "cup", "volume_mL", 80.0)
                    self.assertEqual(code, 200, answer)
                    self.assertEqual(sorted(path.name for path in rig.folder.glob("*day.toml*")),
                                     ["day.toml"])
        self.assertEqual(seen["kill_after"], {old, new})


class NextTrial(unittest.TestCase):
    def next_of(self, answer):
        following = answer["next_trial"]
        return following["name"], following["number"], following["chosen"]

    def check_chosen(self, rig):
        wait_for(lambda: rig.status()["sheet"]["next_trial"], "the first trial")
        self.assertEqual(self.next_of(rig.status()["sheet"]), ("warm", 1, False))
        code, answer = rig.ask("POST", "/v1/trial", {"trial": "warmer"})
        self.assertEqual((code, self.next_of(answer)), (200, ("warmer", 1, True)), answer)
        code, answer = rig.ask("POST", "/v1/trial", {"trial": "wram"})
        self.assertEqual(code, 400)
        self.assertIn('is "warm" meant?', answer["error"]["text"])
        self.assertEqual(self.next_of(rig.sheet()), ("warmer", 1, True))
        self.assertEqual(rig.nestcup("next", "none").stdout,
                         "the next run is for trial warm, repeat 1, by the sheet's order\n")
        self.assertEqual(rig.nestcup("next", "warmer").stdout,
                         "the next run is for trial warmer, repeat 1\n")
        self.assertIn("next: trial warmer, repeat 1 (calorimeter constant), chosen",
                      rig.nestcup("status").stdout)
        self.assertEqual(rig.ask("POST", "/v1/trial", {})[0], 400)

    def check_given(self, rig):
        """The run has the amounts that hold when it is stored."""
        rig.wait_state("running")
        self.assertEqual(rig.set("warmer", "cup", "volume_mL", 75.0)[0], 200)
        run = rig.wait_run()
        record = run["record"]
        self.assertEqual((record["trial"]["name"], record["trial"]["number"]), ("warmer", 1))
        self.assertEqual(record["sheet"]["sha256"], digest(rig.sheet_text()))
        cup, added, final = (record["temperatures"][key]["value"] for key in
                             ("cup_at_mixing_degC", "added_at_mixing_degC", "final_degC"))
        self.assertAlmostEqual(record["mixture_rise_K"]["value"],
                               final - (75.0 * cup + 50.0 * added) / 125.0)
        sheet = rig.sheet()
        self.assertEqual(self.next_of(sheet), ("warm", 1, False))
        shown, = sheet["trials"][1]["runs"]
        self.assertEqual((shown["number"], shown["id"], shown["status"], shown["repeat"]),
                         (1, run["id"], "finished", 1))
        self.assertEqual(shown["corrected_rise_K"]["value"], record["corrected_rise_K"]["value"])
        self.assertEqual([finding["code"] for finding in shown["findings"]],
                         [finding["code"] for finding in record["findings"]])

    @repeated_after_stalls
    def test_a_chosen_trial_gets_the_next_run(self):
        with SheetRig() as rig:
            rig.start()
            self.check_chosen(rig)
            self.check_given(rig)


if __name__ == "__main__":
    unittest.main()

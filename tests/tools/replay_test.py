#!/usr/bin/env python3
"""nestcup replay as scripts call it: contract of output and exit codes."""

import pathlib
import tempfile
import unittest

from commands import SCENARIOS, nestcup, records, simulated, trace_of

README = pathlib.Path(__file__).parents[2] / "README.md"
HEAD = "time_s,cup_degC\n"
ROW = "0.0,21.0\n0.5,21.0\n"


class Replay(unittest.TestCase):
    def setUp(self):
        self.keeper = tempfile.TemporaryDirectory()
        self.folder = pathlib.Path(self.keeper.name)
        self.addCleanup(self.keeper.cleanup)

    def check_against(self, found, truth):
        self.assertEqual(len(found), len(truth))
        for record, mixing in zip(found, truth):
            rise = record["corrected_rise_K"]
            off = abs(rise["value"] - mixing["corrected_rise_K"])
            self.assertLess(off, 3 * rise["u"], mixing)
            mixed = record["mixing"]["time_s"]
            self.assertLess(abs(mixed["value"] - mixing["mixing_time_s"]), 3 * mixed["u"], mixing)

    def test_one_mixing(self):
        trace, truth = trace_of("one-trial", self.folder)
        result = nestcup("replay", "--json", trace)
        self.assertEqual(result.returncode, 0, result.stderr)
        self.check_against(records(result), truth)
        self.assertEqual(records(result)[0]["source"], "one-trial.csv")

    def test_the_readme_shows_this_record(self):
        trace, _ = trace_of("one-trial", self.folder)
        shown = nestcup("replay", trace).stdout.splitlines()
        self.assertGreater(len(shown), 10)
        text = README.read_text(encoding="utf-8").splitlines()
        begin = next(i for i, line in enumerate(text) if line.startswith("    run "))
        # An id is new each time, of the same length.
        self.assertEqual(len(text[begin]), len("    " + shown[0]))
        self.assertEqual(text[begin + 1:begin + len(shown) + 1],
                         ["    " + line for line in shown[1:]] + [""])

    def test_several_mixings_rising_and_falling_in_order(self):
        trace, truth = trace_of("oxide-day", self.folder)
        found = records(nestcup("replay", "--json", trace))
        self.check_against(found, truth)
        times = [record["mixing"]["time_s"]["value"] for record in found]
        self.assertEqual(times, sorted(times))

    def test_no_mixing_gives_no_record_and_no_error(self):
        trace, _ = trace_of("quiet", self.folder)
        result = nestcup("replay", "--json", trace)
        self.assertEqual((result.returncode, result.stdout), (0, ""))

    def test_a_wire_that_reacts_away(self):
        trace, truth = trace_of("wire", self.folder)
        found = records(nestcup("replay", "--json", trace))
        self.check_against(found, truth)
        self.assertIn("a solid that dissolves", found[0]["estimates_K"][0]["note"])

    def test_what_is_taken_for_no_mixing_is_said_and_a_mark_knows_better(self):
        wire = (pathlib.Path(SCENARIOS) / "wire.toml").read_text(encoding="utf-8")
        ribbon = self.folder / "ribbon.toml"
        ribbon.write_text(wire.replace('"rod"', '"sheet"').replace("45.0", "60.0"))
        trace, truth = simulated(ribbon, self.folder)
        result = nestcup("replay", "--json", trace)
        self.assertEqual((result.returncode, result.stdout), (0, ""))
        self.assertIn("no mixing; what set in last was none: slow heating", result.stderr)
        self.assertIn("--mark SECONDS", result.stderr)
        self.check_against(records(nestcup("replay", "--json", "--mark", "100", trace)), truth)

    def test_standard_input_is_as_good_as_a_file(self):
        trace, _ = trace_of("one-trial", self.folder)
        by_name = records(nestcup("replay", "--json", trace))
        piped = records(nestcup("replay", "--json", "-", text=trace.read_text()))
        self.assertEqual(by_name[0]["corrected_rise_K"], piped[0]["corrected_rise_K"])
        self.assertEqual(piped[0]["source"], "-")

    def test_two_traces_come_one_after_the_other(self):
        first, _ = trace_of("one-trial", self.folder)
        second, _ = trace_of("carried-probe", self.folder)
        sources = [record["source"] for record in records(nestcup("replay", "--json", first,
                                                                  second))]
        self.assertEqual(sources[0], "one-trial.csv")
        self.assertEqual(sources[-1], "carried-probe.csv")

    def test_a_mark_is_used(self):
        trace, truth = trace_of("one-trial", self.folder)
        began = truth[0]["mixing_time_s"]
        record = records(nestcup("replay", "--json", "--mark", began, trace))[0]
        self.assertEqual(record["mixing"]["found_by"], "mark")
        self.assertEqual(record["mixing"]["time_s"]["value"], began)

    def test_a_heater_is_a_run_only_where_the_sheet_has_one(self):
        trace, truth = trace_of("heater", self.folder)
        sheet = self.folder / "sheet.toml"
        sheet.write_text('[sheet]\ntitle = "Heater"\n[[trial]]\nname = "heater"\n'
                         'purpose = "electrical calibration"\n'
                         'cup = { substance = "water", volume_mL = 100.0 }\n'
                         'heater = { voltage_V = 9.6, current_A = 1.37, time_s = 100.0 }\n')
        self.assertEqual(records(nestcup("replay", "--json", trace)), [])
        found = records(nestcup("replay", "--json", "--sheet", sheet, "--trial", "heater", trace))
        self.assertEqual(len(found), len(truth))
        self.assertEqual(found[0]["trial"]["name"], "heater")
        self.assertEqual(found[0]["sheet"]["title"], "Heater")
        wrong = nestcup("replay", "--sheet", sheet, "--trial", "heeter", trace)
        self.assertEqual(wrong.returncode, 64)
        self.assertIn("heater", wrong.stderr)

    def test_bad_traces_are_refused_with_file_and_line(self):
        cases = {
            "": ":1:",
            "0.0,21.0\n": ":1:",
            HEAD + "0.0,21.0\n0.0,21.0\n": ":3:",
            HEAD + "1.0,21.0\n0.5,21.0\n": ":3:",
            HEAD + "0.0,21;0\n": ":2:",
            HEAD + ROW + "1.0,21.0,22.0\n": ":4:",
            HEAD + "0.0,nan\n": ":2:",
            "time_s,bath_degC\n" + ROW: ":1:",
            "# note\n" + HEAD + "0,21,5\n": ":3:",
            HEAD: ":1:",
        }
        for text, place in cases.items():
            path = self.folder / "bad.csv"
            path.write_text(text)
            result = nestcup("replay", "--json", path)
            self.assertEqual((result.returncode, result.stdout), (65, ""), repr(text))
            self.assertIn(f"{path}{place}", result.stderr, repr(text))
            self.assertEqual(len(result.stderr.splitlines()), 1, result.stderr)

    def test_what_is_not_there(self):
        self.assertEqual(nestcup("replay", self.folder / "none.csv").returncode, 66)
        self.assertEqual(nestcup("runs", "--store", self.folder / "none.db").returncode, 66)
        self.assertEqual(nestcup("status", cwd=self.folder).returncode, 66)

    def test_wrong_usage(self):
        for words in (["replay"], ["replay", "--nonsense", "x"], ["runz"], [],
                      ["replay", "--mark", "soon", "x.csv"], ["replay", "--trial", "a", "x.csv"]):
            self.assertEqual(nestcup(*words).returncode, 64, words)


if __name__ == "__main__":
    unittest.main()

#!/usr/bin/env python3
"""nestcup assign and recompute on a store, and what stays readable of what was before."""

import hashlib
import json
import pathlib
import shutil
import tempfile
import unittest

from commands import nestcup, records

STORE = pathlib.Path(__file__).parents[1] / "store" / "old" / "version-2.store"
SHEET = """[sheet]
title = "A day"
[conventions]
density_g_per_mL = 1.0
heat_capacity_J_per_g_K = 4.184
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = %s } # \u00b0
added = { substance = "water", volume_mL = 50.0 }
"""


def mixture_rise(record, cup_mL):
    """Final temperature less the mean of both contents, weighted with their volumes."""
    cup, added, final = (record["temperatures"][key]["value"] for key in
                         ("cup_at_mixing_degC", "added_at_mixing_degC", "final_degC"))
    return final - (cup_mL * cup + 50.0 * added) / (cup_mL + 50.0)


class Trials(unittest.TestCase):
    def setUp(self):
        keeper = tempfile.TemporaryDirectory()
        self.addCleanup(keeper.cleanup)
        self.folder = pathlib.Path(keeper.name)
        self.store = self.folder / "bench.db"
        shutil.copy(STORE, self.store)
        self.sheet = self.folder / "day.toml"
        self.write_sheet(100.0)

    def write_sheet(self, cup_mL):
        self.sheet.write_text(SHEET % cup_mL, encoding="utf-8")

    def done(self, *words):
        result = nestcup(*words, "--store", self.store)
        self.assertEqual(result.returncode, 0, result.stderr)
        return result

    def refused(self, code, *words):
        result = nestcup(*words)
        self.assertEqual((result.returncode, result.stdout), (code, ""), result.stderr)
        return result.stderr

    def record(self, *words):
        return json.loads(self.done("show", "1", "--json", *words).stdout)

    def assign(self):
        return self.done("assign", "1", "warm", "--sheet", self.sheet, "--reason", "by hand")

    def test_assign(self):
        before = self.record()
        self.assertEqual(self.assign().stdout, "run 1 is trial warm, repeat 1\n")
        record = self.record()
        self.assertAlmostEqual(record["mixture_rise_K"]["value"], mixture_rise(record, 100.0))
        self.assertEqual(self.record("--revision", "1"), before)
        text = self.done("show", "1").stdout
        self.assertIn("trial warm, repeat 1", text)
        self.assertRegex(text, "revision 2: assigned by .*: by hand")
        self.assertIn("warm 1", self.done("runs").stdout)
        # No sheet is needed for that, be it wrong or gone.
        self.sheet.unlink()
        none = json.loads(self.done("assign", "1", "none", "--json", "--sheet",
                                    self.sheet).stdout)
        self.assertEqual((none["trial"], none["mixture_rise_K"], none["revision"]),
                         (None, None, 3))

    def test_what_cannot_be_assigned(self):
        store = ("--store", self.store)
        sheet = ("--sheet", self.sheet)
        self.assertIn('"warm"', self.refused(64, "assign", "1", "wram", *sheet, *store))
        self.assertIn("--sheet", self.refused(64, "assign", "1", "warm", *store))
        self.refused(66, "assign", "7", "warm", *sheet, *store)
        self.refused(66, "assign", "1", "warm", "--sheet", self.folder / "no.toml", *store)
        self.refused(66, "assign", "1", "warm", *sheet, "--store", self.folder / "no.db")
        self.refused(64, "assign", "1", *store)
        self.assign()
        self.assertIn("already", self.refused(64, "assign", "1", "warm", *sheet, *store))
        self.refused(66, "show", "1", "--revision", "3", *store)

    def test_recompute_by_a_corrected_sheet(self):
        self.assign()
        self.done("recompute", "--sheet", self.sheet)  # by this program's analysis from here on
        before, old_text = self.record(), self.sheet.read_bytes()
        self.assertIn("0 of 1 runs changed", self.done("recompute", "--sheet", self.sheet).stdout)
        self.assertEqual(self.record(), before)
        self.write_sheet(80.0)
        dry = json.loads(self.done("recompute", "--dry-run", "--json", "--sheet",
                                   self.sheet).stdout)
        self.assertEqual((dry["dry_run"], dry["runs"][0]["changed"], dry["runs"][0]["why"]),
                         (True, True, "sheet changed"))
        self.assertEqual(self.record(), before)
        said = self.done("recompute", "1", "--sheet", self.sheet).stdout
        self.assertIn("mixture rise", said)
        self.assertNotIn("  rise ", said)
        after = self.record()
        self.assertEqual(dry["runs"][0]["after"]["mixture_rise_K"], after["mixture_rise_K"])
        self.assertAlmostEqual(after["mixture_rise_K"]["value"], mixture_rise(after, 80.0))
        self.assertEqual(after["revision"], before["revision"] + 1)
        self.assertEqual(after["corrected_rise_K"], before["corrected_rise_K"])
        self.check_kept(before, old_text)

    def check_kept(self, before, old_text):
        """The earlier revision, and the sheet that it was worked out by, are there as they were."""
        self.assertEqual(self.record("--revision", str(before["revision"])), before)
        sha256 = before["sheet"]["sha256"]
        self.assertEqual(hashlib.sha256(old_text).hexdigest(), sha256)
        kept = self.done("sheet", "show", "--sha256", sha256[:10], "--text").stdout
        self.assertEqual(kept.encode(), old_text)
        shown = json.loads(self.done("sheet", "show", "--sha256", sha256[:10], "--json").stdout)
        self.assertEqual(shown["title"], "A day")
        self.refused(66, "sheet", "show", "--sha256", "00000000", "--store", self.store)
        self.refused(64, "sheet", "show", "--sha256", sha256, self.sheet, "--store", self.store)
        self.refused(64, "sheet", "show")

    def test_struck_runs_are_left_out(self):
        self.assign()
        self.done("strike", "1", "--reason", "spilt")
        before = self.record()
        self.write_sheet(80.0)
        said = self.done("recompute", "--sheet", self.sheet).stdout
        self.assertIn("struck out", said)
        self.assertEqual(self.record(), before)
        self.assertIn("restore", self.refused(64, "recompute", "1", "--store", self.store))

    def test_an_export_replays_to_the_same_record(self):
        self.assign()
        self.done("recompute", "--sheet", self.sheet)
        trace = self.folder / "run1.csv"
        self.done("export", "1", "--out", trace)
        (replayed,) = records(nestcup("replay", "--json", trace))
        stored = self.record()
        for key in ("sheet", "trial", "mixture_rise_K", "corrected_rise_K", "readings"):
            self.assertEqual(replayed[key], stored[key])
        self.assertIsNotNone(replayed["mixture_rise_K"])
        self.write_sheet(80.0)
        (other,) = records(nestcup("replay", "--json", "--sheet", self.sheet, "--trial", "warm",
                                   trace))
        self.assertAlmostEqual(other["mixture_rise_K"]["value"], mixture_rise(other, 80.0))


if __name__ == "__main__":
    unittest.main()

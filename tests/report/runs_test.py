#!/usr/bin/env python3
"""A report over a store's runs: its tables say what their records and readings say, in German as
well, and leave free what is to be worked out by hand.

runs_test.py NESTCUP WRITE_STORE [unittest's words]; WRITE_STORE makes simulated stores
"""

import csv
import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

NESTCUP = WRITE_STORE = None
RUNS = 3  # the last one struck out


def told(*words):
    return subprocess.run([str(word) for word in words], check=True, capture_output=True,
                          encoding="utf-8").stdout


class Report(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        keep = tempfile.TemporaryDirectory()
        cls.addClassCleanup(keep.cleanup)
        cls.folder = pathlib.Path(keep.name)
        cls.store = cls.folder / "bench.db"
        told(WRITE_STORE, cls.store, RUNS)
        cls.records = [json.loads(line) for line in
                       told(NESTCUP, "runs", "--store", cls.store, "--json").splitlines()]
        cls.records.sort(key=lambda record: record["trial"]["number"])
        cls.sheet = cls.folder / "day.toml"
        cls.sheet.write_text(told(NESTCUP, "sheet", "show", "--store", cls.store, "--text",
                                  "--sha256", cls.records[0]["sheet"]["sha256"]),
                             encoding="utf-8")
        cls.english, cls.tables = cls.written("english.html")

    @classmethod
    def written(cls, name, *words):
        """@return the page, and its tables by their names without the number"""
        page, tables = cls.folder / name, cls.folder / f"{name}-tables"
        told(NESTCUP, "report", "--store", cls.store, "--sheet", cls.sheet, "--out", page,
             "--tables", tables, *words)
        found = {}
        for path in sorted(tables.iterdir()):
            with open(path, encoding="utf-8-sig", newline="") as file:
                delimiter = ";" if "--semicolon" in words else ","
                found[path.stem.split(" ", 1)[1]] = list(csv.reader(file, delimiter=delimiter))
        return page.read_text(encoding="utf-8"), found

    def check_number(self, text, value, mark="."):
        """The text is that number, to the digits it has."""
        decimals = len(text.partition(mark)[2])
        self.assertGreater(decimals, 0, text)
        plain = text.replace("\N{MINUS SIGN}", "-").replace(mark, ".")
        self.assertEqual(plain, f"{value:.{decimals}f}")

    def test_rises_are_those_of_the_records(self):
        head, *rows = self.tables["corrected-rises"]
        self.assertEqual(len(rows), RUNS)
        for row, record in zip(rows, self.records):
            rise, degC = record["corrected_rise_K"], record["temperatures"]
            self.check_number(row[1], degC["cup_at_mixing_degC"]["value"])
            self.check_number(row[2], degC["added_at_mixing_degC"]["value"])
            self.check_number(row[3], rise["value"])
            self.check_number(row[4], rise["u"])
        self.assertEqual([row[-1] for row in rows], ["", "", "struck out: does not count"])
        self.assertEqual(head[3], "\N{GREEK CAPITAL LETTER DELTA}T / K")

    def test_budgets_add_up_to_the_uncertainty(self):
        _, *rows = self.tables["budgets-of-rises"]
        for place, record in enumerate(self.records, 1):
            parts = [float(row[place]) for row in rows[:-1] if row[place]]
            whole_mK = 1000.0 * record["corrected_rise_K"]["u"]
            # Each part is rounded to a tenth of a millikelvin.
            self.assertAlmostEqual(sum(part * part for part in parts) ** 0.5, whole_mK,
                                   delta=0.05 * len(parts) + 0.05)

    def test_readings_are_those_of_the_store(self):
        """They stand in groups of columns beside each other, each group going on where the one
        before it ended."""
        head, *rows = self.tables["raw-readings-warm 1"]
        shown = [row[first:first + 3] for first in range(0, len(head), 3) for row in rows
                 if row[first]]
        stored = [line.split(",") for line in
                  told(NESTCUP, "export", 1, "--store", self.store).splitlines()
                  if line[:1].isdigit()]
        self.assertGreater(len(stored), 600)
        self.assertEqual(len(shown), len(stored))
        for mine, other in zip(shown, stored):
            self.assertEqual([field and float(field) for field in mine],
                             [field and float(field) for field in other])

    def test_timed_readings_are_those_of_the_records(self):
        head, *rows = self.tables["timed-readings-1"]
        self.assertEqual(len(head), 1 + RUNS)
        for place, record in enumerate(self.records, 1):
            timed = record["timed_readings"]
            self.assertEqual(len(rows), len(timed))
            for row, reading in zip(rows, timed):
                self.check_number(row[place], reading["cup_degC"])

    def test_german_says_the_same(self):
        german, others = self.written("gleich.html", "--language", "de", "--semicolon")
        self.assertEqual(len(self.tables), len(others))
        for mine, other in zip(self.tables.values(), others.values()):
            self.assertEqual([len(row) for row in mine], [len(row) for row in other])
        for row, record in zip(others["corrected-rises"][1:], self.records):
            self.check_number(row[3], record["corrected_rise_K"]["value"], ",")
        self.assertNotIn("struck out: does not count", german)
        self.assertIn("struck out: does not count", self.english)

    def test_without_results(self):
        """What was measured is there, what follows from it is left free."""
        _, free = self.written("free.html", "--without-results")
        self.assertEqual(self.tables["corrected-rises"], free["corrected-rises"])
        _, constant, u, unit = self.tables["results"][1]
        self.assertEqual(unit, "J/K")
        self.assertGreater(float(constant), float(u))
        self.assertEqual(free["results"][1], ["calorimeter constant", "", "", "J/K"])


if __name__ == "__main__":
    NESTCUP, WRITE_STORE = sys.argv[1:3]
    unittest.main(argv=[sys.argv[0], *sys.argv[3:]])

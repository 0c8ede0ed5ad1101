#!/usr/bin/env python3
"""nestcup pack before programs of others: Info-ZIP, sha256sum, Python's zipfile and csv, and the
shell of SQLite.

pack_outside_test.py NESTCUP WRITE_STORE [unittest's words]; WRITE_STORE makes simulated stores
"""

import json
import pathlib
import sqlite3
import subprocess
import sys
import tempfile
import unittest
import urllib.parse
import zipfile

from eln_format import ElnFormat, rows_of, told

NESTCUP = WRITE_STORE = None
AUTHOR = "Josiah Carberry=0000-0002-1825-0097"


def nestcup(*words):
    return subprocess.run([NESTCUP, *map(str, words)], capture_output=True, text=True, timeout=300,
                          check=False)


class Store(unittest.TestCase):
    """A store of three runs, the last one struck out, and what is packed of it, made once."""

    @classmethod
    def setUpClass(cls):
        cls.keep = tempfile.TemporaryDirectory()
        cls.folder = pathlib.Path(cls.keep.name)
        cls.store = cls.folder / "bench.db"
        told(WRITE_STORE, cls.store, "3")
        cls.eln = cls.folder / "a day.eln"
        cls.said = cls.packed(cls.eln, "--author", AUTHOR)
        cls.crate = cls.folder / "crate"
        cls.packed(cls.crate)

    @classmethod
    def tearDownClass(cls):
        cls.keep.cleanup()

    @classmethod
    def packed(cls, place, *words):
        result = nestcup("pack", "--store", cls.store, "--out", place, *words)
        if result.returncode != 0:
            raise AssertionError(result.stderr)
        return result.stdout

    def refused(self, code, *words):
        result = nestcup("pack", "--store", self.store, *words)
        self.assertEqual((result.returncode, result.stdout), (code, ""), result.stderr)
        self.assertEqual(result.stderr.count("\n"), 1, result.stderr)
        return result.stderr

    def nodes(self):
        text = (self.crate / "ro-crate-metadata.json").read_text("utf-8")
        return {node["@id"]: node for node in json.loads(text)["@graph"]}


class ElnFile(ElnFormat, Store):
    pass


class Archives(Store):
    def test_info_zip_finds_no_fault(self):
        self.assertIn("No errors detected", told("unzip", "-t", self.eln))

    def test_the_digest_is_that_of_sha256sum(self):
        digest = told("sha256sum", self.eln).split()[0]
        self.assertIn(f"SHA-256 {digest}\n", self.said)

    def test_the_same_bytes_each_time(self):
        for name in ("one.zip", "two.zip"):
            self.packed(self.folder / name)
        told("cmp", self.folder / "one.zip", self.folder / "two.zip")
        before = self.eln.read_bytes()
        self.packed(self.eln, "--author", AUTHOR, "--replace")
        self.assertEqual(self.eln.read_bytes(), before)

    def test_entries_have_the_time_of_the_newest_revision(self):
        with zipfile.ZipFile(self.eln) as archive:
            times = {entry.date_time for entry in archive.infolist()}
        with sqlite3.connect(self.store) as store:
            newest, = store.execute("SELECT strftime('%Y %m %d %H %M %S', max(wall_us) / 1000000, "
                                    "'unixepoch') FROM run_record").fetchone()
        self.assertEqual(times, {tuple(map(int, newest.split()))})

    def test_unpacked_a_zip_is_the_folder(self):
        self.packed(self.folder / "whole.zip")
        with tempfile.TemporaryDirectory() as place:
            told("unzip", "-q", self.folder / "whole.zip", "-d", place)
            told("diff", "-r", place, self.crate)


class Crate(Store):
    def test_digests_are_those_of_sha256sum(self):
        files = [node for node in self.nodes().values() if node["@type"] == "File"]
        there = [path for path in self.crate.rglob("*") if path.is_file()]
        self.assertEqual(len(files), len(there) - 1)  # all but the metadata
        for node in files:
            path = self.crate / urllib.parse.unquote(node["@id"])
            self.assertEqual(told("sha256sum", path).split()[0], node["sha256"])

    def test_nobody_is_named(self):
        self.assertNotIn("Person", {node["@type"] for node in self.nodes().values()})
        without = self.folder / "without"
        self.packed(without, "--without-logins")
        self.assertEqual(subprocess.run(["grep", "-rlw", "demo", without], check=False).returncode,
                         1)
        self.assertEqual(len(told("grep", "-rlw", "demo", self.crate).splitlines()), 2)

    def test_readings_are_those_of_the_store(self):
        """Through Python's csv by what CSVW says, and through the import of SQLite's shell."""
        with sqlite3.connect(self.store) as store:
            runs = store.execute("SELECT id, first_us, last_us FROM run").fetchall()
            for run, first_us, last_us in runs:
                expected = {}
                for time_us, role, degC in store.execute(
                        "SELECT time_us, role, temperature_degC FROM reading "
                        "JOIN probe ON probe.id = reading.probe WHERE time_us BETWEEN ? AND ?",
                        (first_us, last_us)):
                    expected.setdefault((time_us - first_us) / 1e6, {})[f"{role}_degC"] = degC
                folder, = self.crate.glob(f"* {run[-6:]}")
                self.assertGreater(len(expected), 100)
                self.assertEqual(self.by_csvw(folder), expected)
                self.assertEqual(self.by_sqlite(folder), expected)

    def by_csvw(self, folder):
        metadata = json.loads((folder / "readings.csv-metadata.json").read_text("utf-8"))
        rows = rows_of((folder / metadata["url"]).read_text("utf-8"), metadata)
        columns = metadata["tableSchema"]["columns"]
        self.assertEqual(rows[0], [column["titles"] for column in columns])
        # A raw column stands there only if it differs from the temperature.
        self.assertEqual(rows[0], ["time_s", "cup_degC", "added_degC"])
        return {float(row[0]): {title: float(cell) for title, cell, column
                                in zip(rows[0][1:], row[1:], columns[1:])
                                if cell != column["null"]} for row in rows[1:]}

    def by_sqlite(self, folder):
        """Skips the comments, as its manual says, and takes the names from the header."""
        lines = (folder / "readings.csv").read_text("utf-8").splitlines()
        comments = sum(1 for line in lines if line.startswith("#"))
        self.assertGreater(comments, 0)
        command = f'.import --csv --skip {comments} "{folder}/readings.csv" readings'
        query = "SELECT * FROM readings"
        table = told("sqlite3", "-json", ":memory:", command, query)
        return {float(row.pop("time_s")): {title: float(cell) for title, cell in row.items()
                                           if cell != ""} for row in json.loads(table)}


class Command(Store):
    def test_a_dry_run_lists_and_writes_nothing(self):
        place = self.folder / "dry.eln"
        listed = self.packed(place, "--dry-run")
        self.assertFalse(place.exists())
        with zipfile.ZipFile(self.eln) as archive:
            for name in archive.namelist():
                self.assertIn("  " + name.split("/", 1)[1] + "\n", listed)

    def test_json_says_what_is_in_it(self):
        place = self.folder / "said.zip"
        said = json.loads(self.packed(place, "--json"))
        self.assertEqual([(run["number"], run["status"]) for run in said["runs"]],
                         [(1, "finished"), (2, "finished"), (3, "struck")])
        self.assertEqual(said["sha256"], told("sha256sum", place).split()[0])
        with zipfile.ZipFile(place) as archive:
            self.assertEqual([(entry.filename, entry.file_size) for entry in archive.infolist()],
                             [(file["path"], file["bytes"]) for file in said["files"]])
        self.assertTrue(said["has_chain_end"])
        part = json.loads(self.packed(self.folder / "part.zip", "2", "--json"))
        self.assertFalse(part["has_chain_end"])

    def test_what_is_wrong_gets_one_line(self):
        new = self.folder / "new.eln"
        self.assertIn('run "9"', self.refused(66, "9", "--out", new))
        self.assertIn(".eln", self.refused(64, "--out", self.folder / "new.tar"))
        self.assertIn("ORCID", self.refused(64, "--out", new, "--author", "A=0000-0002-1825-0098"))
        self.assertIn("name", self.refused(64, "--out", new, "--author", "=0000-0002-1825-0097"))
        self.assertIn("address", self.refused(64, "--out", new, "--licence", "https://a b"))
        self.assertIn("there twice", self.refused(65, "--out", new, "--author", AUTHOR, "--author",
                                                  AUTHOR))
        self.assertIn("--replace", self.refused(73, "--out", self.eln))
        self.assertIn("another kind", self.refused(73, "--out", f"{self.store}/", "--replace"))
        self.assertIn("no such folder", self.refused(73, "--out", self.folder / "no" / "x.eln"))
        self.assertFalse(new.exists())

    def test_what_others_made_is_not_replaced(self):
        mine = self.folder / "thesis"
        mine.mkdir()
        (mine / "thesis.txt").write_text("years of work", "utf-8")
        self.refused(73, "--out", mine, "--replace")
        own = self.folder / "noted"
        self.packed(own)
        (own / "note.txt").write_text("mine", "utf-8")
        self.assertIn("note.txt", self.refused(73, "--out", own, "--replace"))
        self.assertEqual((own / "note.txt").read_text("utf-8"), "mine")


if __name__ == "__main__":
    NESTCUP, WRITE_STORE = sys.argv[1:3]
    del sys.argv[1:3]
    unittest.main()

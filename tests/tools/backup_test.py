"""`nestcup backup` with a fault at every step: there is a whole copy or none, the store is as it
was, and the next try succeeds."""

import os
import pathlib
import shutil
import sqlite3
import subprocess
import tempfile
import unittest

from commands import NESTCUP, nestcup
from faults import each_step

KINDS = ("error:ENOSPC", "error:EIO", "short", "kill", "kill_after")


def rows_of(path):
    """All rows of all tables; looks at a copy, so that nothing is made beside the file."""
    with tempfile.TemporaryDirectory() as folder:
        copy = shutil.copy(path, folder)
        store = sqlite3.connect(copy)
        assert store.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        tables = [row[0] for row in store.execute(
            "SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")]
        rows = {table: store.execute(f"SELECT * FROM {table}").fetchall() for table in tables}
        store.close()
        return rows


class Faults(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.keeper = tempfile.TemporaryDirectory()
        cls.pattern = pathlib.Path(cls.keeper.name) / "pattern.db"
        subprocess.run([os.environ["NESTCUP_WRITE_STORE"], cls.pattern, "2"], check=True)
        cls.rows = rows_of(cls.pattern)
        assert cls.rows["reading"] and cls.rows["run"]

    @classmethod
    def tearDownClass(cls):
        cls.keeper.cleanup()

    def make_state(self, folder):
        shutil.copy(self.pattern, folder / "bench.db")
        (folder / "copies").mkdir()

    def check(self, folder, run, what):
        copy = folder / "copies" / "copy.db"
        # A copy that is there is whole; one that is reported is there.
        if copy.exists():
            self.assertEqual(rows_of(copy), self.rows, what)
        if run.code == 0:
            self.assertTrue(copy.exists(), what)
        else:
            self.assertTrue(run.code < 0 or run.errors.startswith("nestcup: "), what)
        # Nothing is left but what a kill leaves, and that is out of the next one's way.
        left = set(os.listdir(folder / "copies")) - {"copy.db"}
        of_a_kill = {".copy.db.part", ".copy.db.part-journal"}
        self.assertLessEqual(left, of_a_kill if run.code < 0 else set(), what)
        self.assertEqual(rows_of(folder / "bench.db"), self.rows, what)
        if not copy.exists():
            again = nestcup("backup", "--store", folder / "bench.db", "--out", copy)
            self.assertEqual(again.returncode, 0, f"{what}; then: {again.stderr}")
            self.assertEqual(os.listdir(folder / "copies"), ["copy.db"], what)

    def go_through(self, name, *words):
        each_step(self.make_state,
                  lambda folder: [NESTCUP, "backup", "--store", folder / "bench.db", "--out",
                                  folder / "copies" / "copy.db", *words],
                  self.check, kinds=KINDS, paths=lambda folder: [f"{folder}/copies/"], name=name,
                  every=int(os.environ.get("NESTCUP_TEST_EVERY", "7")))

    def test_page_for_page(self):
        self.go_through("backup")

    def test_compact(self):
        self.go_through("backup --compact", "--compact")


class Places(unittest.TestCase):
    def test_what_cannot_be_is_refused_with_its_code(self):
        with tempfile.TemporaryDirectory() as name:
            folder = pathlib.Path(name)
            store = folder / "bench.db"
            subprocess.run([os.environ["NESTCUP_WRITE_STORE"], store, "1"], check=True)
            (folder / "foreign.db").write_text("not a store at all")
            for code, words in ((66, ["--store", folder / "none.db", "--out", folder / "c.db"]),
                                (65, ["--store", folder / "foreign.db", "--out", folder / "c.db"]),
                                (73, ["--store", store, "--out", folder / "foreign.db"]),
                                (73, ["--store", store, "--out", folder]),
                                (73, ["--store", store, "--out", folder / "no" / "c.db"]),
                                (64, ["--store", store])):
                done = nestcup("backup", *words)
                self.assertEqual(done.returncode, code, f"{words}: {done.stderr}")
            # Whoever reads a store may leave the files beside it that SQLite shares.
            left = {name for name in os.listdir(folder) if not name.startswith("bench.db-")}
            self.assertEqual(left, {"bench.db", "foreign.db"})


if __name__ == "__main__":
    unittest.main()

#!/usr/bin/env python3
"""A fault at every step of `nestcup sync` into a folder, and of a run that is stored.

NESTCUP_TEST_EVERY_STEP is how many steps lie between two faults in the short form; 1: every step.
"""

import json
import os
import pathlib
import subprocess
import tempfile
import unittest

from bench_folder import (MAKER, NESTCUP, change, check_carried, check_chain, copied_bench,
                          is_hidden, made_bench, nestcup, rows, sync, tree, without_progress)
from faults import each_step

EVERY = int(os.environ.get("NESTCUP_TEST_EVERY_STEP", "1"))
ERRORS = ("ENOSPC", "EIO", "EACCES", "EROFS")
KINDS = (*(f"error:{name}" for name in ERRORS), "short", "kill", "kill_after")
WORDS = {"ENOSPC": "No space left on device", "EIO": "Input/output error",
         "EACCES": "Permission denied", "EROFS": "Read-only file system"}
FAILED = (73, 74, 75, 77)  # cannot create, input or output, try later, not permitted


def told_error(run):
    """The words of the error that the shim made, and its step; nothing where it made none."""
    for step in run.steps:
        name = step.outcome.removeprefix("made to fail: ")
        if name in WORDS:
            return WORDS[name], step
    return None, None


def check_reason(test, run, what):
    """The message says why; of the store's files SQLite tells only that it was the disk."""
    words, step = told_error(run)
    test.assertTrue(run.errors.startswith(("nestcup: ", "campaign_store: ")), what)
    if words and "/notebook" in step.path:
        test.assertIn(words, run.errors, what)
    elif words not in run.errors if words else True:
        test.assertRegex(run.errors, "disk|rights", what)
    if words == WORDS["ENOSPC"]:
        test.assertNotRegex(run.errors, "check.* rights", what)


class Steps(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        """Two runs carried, the second struck out since; and the same with nothing carried."""
        cls.keeper = tempfile.TemporaryDirectory()
        home = pathlib.Path(cls.keeper.name).resolve()
        cls.one_more, cls.all_new, done = (home / name for name in ("more", "new", "done"))
        made_bench(cls.one_more, 2)
        cls.carry(cls.one_more)
        cls.before = tree(cls.one_more / "notebook")
        assert nestcup(cls.one_more, "strike", 2, "--reason", "spilt").returncode == 0
        for folder in (cls.all_new, done):
            folder.mkdir()
            copied_bench(cls.one_more, folder)
        cls.carry(done)
        cls.after = tree(done / "notebook")
        change(cls.all_new, ("DELETE FROM owed",), ("DELETE FROM notebook",))
        for path in sorted((cls.all_new / "notebook").rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        (cls.all_new / "notebook").rmdir()

    @classmethod
    def tearDownClass(cls):
        cls.keeper.cleanup()

    @staticmethod
    def carry(folder):
        done = sync(folder)
        assert done.returncode == 0, done.stderr
        check_carried(folder)
        check_chain(folder)

    def check_shown(self, folder, what):
        """Nothing that shows is half-written: every file is as it was or as it will be, a run's
        folder has all of its files, and one whose proof is new is new altogether."""
        shown = {path: data for path, data in tree(folder / "notebook").items()
                 if not is_hidden(path)}
        for path, data in shown.items():
            self.assertIn(data, [stage[path] for stage in (self.before, self.after)
                                 if path in stage], f"{what}: {path}")
        for run in [path for path, data in shown.items() if data is None]:
            proof = f"{run}/proof.json"
            newest = shown.get(proof) == self.after[proof]
            for path, data in (self.after if newest else self.before).items():
                if path.startswith(run + "/"):
                    self.assertIn(path, shown, f"{what}: missing")
                    if newest:
                        self.assertEqual(shown[path], data, f"{what}: {path}")
        return shown

    def check_told(self, folder, run, what):
        """What is told after the fault: by the call itself, and by --status."""
        owed = rows(folder, "SELECT count(*) FROM owed WHERE state <> 'carried'")[0][0]
        known = rows(folder, "SELECT count(*) FROM owed")[0][0] > 0
        if " 0 owed, 0 blocked" in run.output:
            self.assertEqual((owed, known), (0, True), what)
        if run.code < 0:
            self.assertIn("killed", run.steps[-1].outcome, what)
            return
        self.assertIn(run.code, (0, *FAILED), what)
        words, step = told_error(run)
        if run.code == 0:
            self.assertEqual((owed, known, run.errors), (0, True, ""), what)
            self.assertEqual(self.check_shown(folder, what), self.after, what)
            return
        check_reason(self, run, what)
        if words and "/notebook" in step.path and owed:
            self.check_status(folder, words, what)

    def check_status(self, folder, words, what):
        """The first that is owed says why; nothing else may have noted it but the store."""
        said = nestcup(folder, "sync", "--status", "--json")
        self.assertEqual(said.returncode, 0, what)
        (notebook,) = json.loads(said.stdout)["notebooks"]
        first = notebook["revisions"][0]
        self.assertIn(words, first["reason"], what)
        self.assertEqual((first["state"], first["attempts"]), ("owed", 1), what)
        self.assertIn(words, nestcup(folder, "sync", "--status").stdout, what)

    def check_sync(self, folder, run, what):
        run = run._replace(errors=without_progress(run.errors))
        for link, run_id, revision in rows(
                folder, "SELECT link, id, link.revision FROM owed JOIN link ON link = link.number "
                        "JOIN run ON run.number = link.run WHERE state = 'carried'"):
            proofs = [json.loads(data) for path, data in tree(folder / "notebook").items()
                      if path.endswith("proof.json") and not is_hidden(path)]
            (proof,) = [proof for proof in proofs if proof["run"] == run_id]
            self.assertIn((link, revision), [(one["link"], one["revision"])
                                             for one in proof["revisions"]], what)
        self.check_shown(folder, what)
        self.check_told(folder, run, what)
        again = sync(folder)
        self.assertEqual((again.returncode, again.stderr), (0, ""), what)
        self.assertEqual(tree(folder / "notebook"), self.after, what)
        try:
            check_carried(folder)
            check_chain(folder)
        except AssertionError as wrong:
            raise AssertionError(f"{what}: {wrong}") from wrong
        if not run.had_fault():
            self.assertEqual(run.code, 0, what)

    def campaign(self, source, name):
        each_step(lambda folder: copied_bench(source, folder),
                  lambda folder: [NESTCUP, "sync", "--bench", folder / "bench.toml"],
                  self.check_sync, KINDS, name=name, every=EVERY)

    def test_into_an_empty_folder(self):
        self.campaign(self.all_new, "all runs")

    def test_one_new_revision(self):
        self.campaign(self.one_more, "one new revision")


class Finish(unittest.TestCase):
    """A run is stored: there once, with its link and owed to the notebook, or not at all."""

    @classmethod
    def setUpClass(cls):
        cls.keeper = tempfile.TemporaryDirectory()
        home = pathlib.Path(cls.keeper.name).resolve()
        cls.source = made_bench(home / "source", 3)
        cls.bench = made_bench(home / "bench", 2)
        Steps.carry(cls.bench)

    @classmethod
    def tearDownClass(cls):
        cls.keeper.cleanup()

    def counts(self, folder):
        (counts,) = rows(folder, "SELECT (SELECT count(*) FROM run), (SELECT count(*) FROM "
                                 "run_record), (SELECT count(*) FROM link), (SELECT links FROM "
                                 "chain), (SELECT count(*) FROM owed)")
        check_chain(folder)
        return counts

    def stored(self, folder):
        return [MAKER, "finish", self.source / "bench.db", "3", folder / "bench.db"]

    def check_all_or_nothing(self, folder, run, what):
        before, after = (2,) * 5, (3,) * 5
        found = self.counts(folder)
        self.assertIn(found, [before, after], what)
        if "stored" in run.output:
            self.assertEqual((run.code, found), (0, after), what)
        if run.code == 0 or not run.had_fault():
            self.assertEqual((run.code, found), (0, after), what)
        elif run.code > 0:
            self.assertIn(run.code, FAILED, what)
            check_reason(self, run, what)
        self.run_plain(self.stored(folder))
        self.assertEqual(self.counts(folder), after, what)
        done = sync(folder)
        self.assertEqual(done.returncode, 0, f"{what}: {done.stderr}")
        check_carried(folder)

    def test_a_run_that_has_ended(self):
        each_step(lambda folder: copied_bench(self.bench, folder), self.stored,
                  self.check_all_or_nothing, KINDS, name="a run is stored", every=EVERY)

    def run_plain(self, command):
        done = subprocess.run([str(word) for word in command], capture_output=True, text=True,
                              check=False)
        self.assertEqual(done.returncode, 0, done.stderr)


if __name__ == "__main__":
    unittest.main()

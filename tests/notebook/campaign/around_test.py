#!/usr/bin/env python3
"""What happens around a notebook folder: no rights, no room, two benches, records that change while
they are carried, a clock that jumps, a folder that is away.

NESTCUP_TEST_ROUNDS is how often what hangs on chance is repeated; 4 where it is not set.
"""

import datetime
import json
import os
import pathlib
import shutil
import subprocess
import tempfile
import threading
import unittest

from bench_folder import (MAKER, NESTCUP, check_carried, check_chain, is_hidden, made_bench,
                          nestcup, rows, sync, tree, write_bench)

ROUNDS = int(os.environ.get("NESTCUP_TEST_ROUNDS", "4"))
FAKETIME = shutil.which("faketime")


def mounted(folder, *words):
    """A file system for a while; nothing where that is not permitted."""
    done = subprocess.run(["mount", *words, folder], capture_output=True, check=False)
    return done.returncode == 0


class Around(unittest.TestCase):
    def setUp(self):
        keeper = tempfile.TemporaryDirectory()
        self.addCleanup(keeper.cleanup)
        self.home = pathlib.Path(keeper.name).resolve()
        self.folder = made_bench(self.home / "bench", 3)
        self.notebook = self.folder / "notebook"

    def check_whole(self, folder=None):
        check_carried(folder or self.folder)
        check_chain(folder or self.folder)

    def carry(self):
        done = sync(self.folder)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        self.check_whole()

    def refused(self, words, **how):
        """A sync that cannot carry says why, and so does --status afterwards."""
        done = sync(self.folder, **how)
        self.assertEqual(done.returncode, 75, done.stderr)
        self.assertIn(words, done.stderr)
        self.assertNotIn(" 0 owed", done.stdout)
        said = nestcup(self.folder, "sync", "--status")
        self.assertEqual(said.returncode, 0, said.stderr)
        self.assertIn(words, said.stdout)
        (told,) = json.loads(nestcup(self.folder, "sync", "--status", "--json").stdout)["notebooks"]
        self.assertIn(words, told["revisions"][0]["reason"])

    def test_a_folder_without_rights(self):
        """As nobody, since root needs no rights."""
        if os.geteuid() != 0:
            self.skipTest("needs root to become another user")
        self.notebook.mkdir()
        self.home.chmod(0o755)
        shutil.chown(self.folder, "nobody")
        for path in self.folder.glob("bench.*"):
            shutil.chown(path, "nobody")
        self.refused("Permission denied", user="nobody")
        shutil.chown(self.notebook, "nobody")
        done = sync(self.folder, user="nobody")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.check_whole()

    def test_a_folder_that_cannot_be_written(self):
        self.notebook.mkdir()
        if not mounted(self.notebook, "-t", "tmpfs", "-o", "ro", "tmpfs"):
            self.skipTest("mount is not permitted here")
        try:
            self.refused("Read-only file system")
        finally:
            subprocess.run(["umount", self.notebook], check=True)
        self.carry()

    def size_of_a_run_kB(self):
        """As a disk counts: whole pages."""
        other = made_bench(self.home / "other", 1)
        self.assertEqual(sync(other).returncode, 0)
        (run,) = [path for path in (other / "notebook").iterdir()
                  if path.is_dir() and not is_hidden(path.name)]
        return sum(-(-path.stat().st_size // 4096) * 4 for path in run.rglob("*"))

    def test_a_full_disk(self):
        """Room for a run and a half: the first is whole, nothing of the second shows."""
        room_kB = self.size_of_a_run_kB() * 3 // 2
        self.notebook.mkdir()
        if not mounted(self.notebook, "-t", "tmpfs", "-o", f"size={room_kB}k", "tmpfs"):
            self.skipTest("mount is not permitted here")
        try:
            self.refused("No space left on device")
            there = [path for path, data in tree(self.notebook).items() if data is None]
            self.assertEqual(len(there), 1)
            self.assertFalse([path for path in there if is_hidden(path)])
            subprocess.run(["mount", "-o", "remount,size=20m", self.notebook], check=True)
            self.carry()
        finally:
            subprocess.run(["umount", self.notebook], check=True)

    def test_a_folder_that_is_away_for_a_while(self):
        self.carry()
        kept = tree(self.notebook)
        nestcup(self.folder, "strike", 1, "--reason", "spilt")
        self.notebook.rename(self.home / "away")
        self.refused("the folder is gone")
        self.assertFalse(self.notebook.exists())
        (self.home / "away").rename(self.notebook)
        self.assertEqual(tree(self.notebook), kept)
        self.carry()

    def test_two_benches_of_one_name_at_once(self):
        """Both carry into one folder; neither touches what is the other's."""
        source = made_bench(self.home / "source", 6)
        for _ in range(ROUNDS):
            with tempfile.TemporaryDirectory(dir=self.home) as name:
                shared = pathlib.Path(name)
                benches = [made_bench(shared / str(place), 0) for place in (0, 1)]
                for number in range(1, 7):  # every run is of one bench
                    subprocess.run([MAKER, "finish", source / "bench.db", str(number),
                                    benches[number % 2] / "bench.db"], check=True,
                                   stdout=subprocess.DEVNULL)
                for bench in benches:
                    write_bench(bench, shared / "notebook")
                calls = [subprocess.Popen([NESTCUP, "sync", "--bench", bench / "bench.toml"],
                                          stderr=subprocess.PIPE, text=True,
                                          stdout=subprocess.DEVNULL) for bench in benches]
                for call in calls:
                    errors = call.communicate(timeout=120)[1]
                    self.assertEqual((call.returncode, errors), (0, ""))
                self.check_shared(shared / "notebook", benches)

    def check_shared(self, notebook, benches):
        found = tree(notebook)
        self.assertFalse([path for path in found if is_hidden(path)])
        proofs = [json.loads(data) for path, data in found.items() if path.endswith("proof.json")]
        for bench in benches:
            check_chain(bench)
            ((book, links),) = rows(bench, "SELECT book, links FROM chain")
            self.assertEqual(rows(bench, "SELECT DISTINCT state FROM owed"), [("carried",)])
            runs = {run for (run,) in rows(bench, "SELECT id FROM run")}
            own = {proof["run"] for proof in proofs if proof["book"] == book}
            self.assertEqual(own, runs)
            chain = found[f"chain bench-4 {book[-6:]}.json"]
            self.assertEqual(json.loads(chain)["links"], links)
        self.assertEqual(len([path for path in found if path.startswith("index ")]), 2)

    def test_records_that_change_while_they_are_carried(self):
        """Strikes and restores as fast as they go, beside syncs; one of both may have to wait."""
        stop = threading.Event()
        codes = set()

        def carry_on():
            while not stop.is_set():
                codes.add(sync(self.folder).returncode)

        carrier = threading.Thread(target=carry_on)
        carrier.start()
        changed = 0
        try:
            for turn in range(12 * ROUNDS):
                word = "restore" if turn % 2 else "strike"
                done = nestcup(self.folder, word, 2, "--reason", f"turn {turn}")
                while done.returncode == 75:
                    done = nestcup(self.folder, word, 2, "--reason", f"turn {turn}")
                self.assertEqual(done.returncode, 0, done.stderr)
                changed += 1
        finally:
            stop.set()
            carrier.join()
        self.assertLessEqual(codes, {0, 75})
        self.carry()
        self.assertEqual(rows(self.folder, "SELECT revision FROM run WHERE number = 2"),
                         [(changed + 1,)])

    @unittest.skipUnless(FAKETIME, "faketime is not installed")
    def test_a_clock_that_jumps(self):
        """A year ahead, where a failure is noted, and back: what waits then is tried all the same,
        and --status does not tell of the future as if it were past."""
        self.carry()
        nestcup(self.folder, "strike", 1, "--reason", "spilt")
        self.notebook.rename(self.home / "away")
        ahead = (datetime.datetime.now() + datetime.timedelta(days=365)).strftime("%Y-%m-%d %T")
        done = subprocess.run([FAKETIME, ahead, NESTCUP, "sync", "--bench",
                               self.folder / "bench.toml"], capture_output=True, text=True,
                              check=False)
        self.assertEqual(done.returncode, 75, done.stderr)
        self.assertIn("for 365 days", done.stdout)
        said = nestcup(self.folder, "sync", "--status").stdout
        self.assertIn("the folder is gone", said)
        (self.home / "away").rename(self.notebook)
        self.carry()


if __name__ == "__main__":
    unittest.main()

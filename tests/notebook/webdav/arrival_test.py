#!/usr/bin/env python3
"""Runs carried to real WebDAV servers of four makes, and what stays whole there."""

import functools
import os
import pathlib
import subprocess
import tempfile
import unittest
import urllib.parse

from dav_bench import (WithSource, check_there, nestcup, rows, shown, sync, tree, verified,
                       write_notebook)
from fault_proxy import FaultProxy
from servers import MAKES, Server


def each_make(test):
    """Once for each make, with a server and the folder of a bench."""
    @functools.wraps(test)
    def repeated(self):
        for make in MAKES:
            with self.subTest(make), Server(make) as server, \
                    tempfile.TemporaryDirectory(dir=self.home) as name:
                test(self, server, pathlib.Path(name))
    return repeated


class LosingProxy(FaultProxy):
    """Files and folders are moved to their names, but the first answer to that is lost: libcurl
    asks once more by itself, as it does where a kept connection has died (five times in all)."""

    most = 5

    def fault_for(self, method, path):
        loses = (method == "MOVE" and "/.arriving-" in path and (method, path) not in self.seen
                 and self.faults < self.most)
        super().fault_for(method, path)
        self.faults += loses
        return "unanswered" if loses else None


class Arrival(WithSource):
    charts = True

    def carry(self, folder):
        done = sync(folder)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        return done.stdout

    def strike(self, folder, number):
        struck = nestcup(folder, "strike", number, "--reason", "spilt")
        self.assertEqual(struck.returncode, 0, struck.stderr)

    @each_make
    def test_runs_come_once_and_a_second_time_changes_nothing(self, server, folder):
        self.source.bench(folder, server.url)
        self.carry(folder)
        check_there(folder, server, self.source.last)
        self.assertIn("2 runs belong together", verified(server))
        before = {path: path.stat().st_mtime_ns for path in server.root.rglob("*.*")}
        # The bench's store was lost and came back from before: all is owed once more.
        self.source.bench(folder, server.url)
        self.carry(folder)
        check_there(folder, server, self.source.last)
        changed = [path.name for path, time_ns in before.items()
                   if path.stat().st_mtime_ns != time_ns and path.is_file()]
        self.assertEqual([name for name in changed if not name.startswith("index ")], [])

    @each_make
    def test_a_new_revision_takes_the_place_of_the_old(self, server, folder):
        self.source.bench(folder, server.url, half=True)
        self.carry(folder)
        before = shown(server)
        (run,) = [path for path in before if path.endswith("2 080002")]
        self.strike(folder, 2)
        self.carry(folder)
        after = shown(server)
        self.assertEqual({path.rpartition("/")[2] for path in set(after) - set(before)},
                         {"run.r1.json"})
        self.assertEqual(after[f"{run}/run.r1.json"], before[f"{run}/run.json"])
        self.assertEqual(rows(folder, "SELECT state, count(*) FROM owed GROUP BY state"),
                         [("carried", 3)])
        verified(server)

    @each_make
    def test_what_people_wrote_stays(self, server, folder):
        self.source.bench(folder, server.url, half=True)
        self.carry(folder)
        (page,) = server.root.glob("lab/*2 080002/page.md")
        (index,) = server.root.glob("lab/index *.md")
        for path in (page, index):
            path.write_text(path.read_text() + "\nThe lid was loose.\n")
        edited = [path.read_bytes() for path in (page, index)]
        self.strike(folder, 2)
        done = sync(folder)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual([path.read_bytes() for path in (page, index)], edited)
        self.assertIn("page.md was changed by hand and stays; revision 2 lies beside it as "
                      "page.r2.md", done.stderr)
        self.assertIn("(anew).md", done.stderr)
        self.assertIn("struck out", (page.parent / "page.r2.md").read_text())
        verified(server)

    @each_make
    def test_an_edit_in_the_last_moment_stays(self, server, folder):
        """Between the look at a page and its replacement somebody saves another one."""
        self.source.bench(folder, server.url, half=True)
        self.carry(folder)
        (page,) = server.root.glob("lab/*2 080002/page.md")

        def edit(page=page):
            if page.exists():
                page.write_text("mine, in the last moment")

        self.strike(folder, 2)
        with FaultProxy(server.port) as proxy:
            moves = self.moves_of(proxy, folder, "page.md")
        self.source.bench(folder, server.url, half=True)
        for path in sorted(server.root.rglob("*"), reverse=True):
            path.rmdir() if path.is_dir() else path.unlink()
        self.carry(folder)
        (page,) = server.root.glob("lab/*2 080002/page.md")
        self.strike(folder, 2)
        with FaultProxy(server.port, fault=edit, at=moves[0], only="MOVE") as proxy:
            write_notebook(folder, server.url.replace(str(server.port),
                                                      str(proxy.server_address[1])))
            self.assertIn(sync(folder).returncode, (0, 65))
            self.assertEqual(proxy.faults, 1)
        kept = [data for path, data in tree(server.root / "lab").items()
                if data == b"mine, in the last moment"]
        self.assertEqual(len(kept), 1)

    def moves_of(self, proxy, folder, name):
        """Numbers of the MOVEs that take this file away, in a pass without faults."""
        write_notebook(folder, proxy.url)
        done = sync(folder)
        self.assertEqual(done.returncode, 0, done.stderr)
        moves = [path for method, path in proxy.seen if method == "MOVE"]
        return [number for number, path in enumerate(moves, 1) if path.endswith("/" + name)]

    @each_make
    def test_names_with_odd_characters_arrive(self, server, folder):
        odd = '\u00dcbung 50% +1; "q" & (a) #2?'
        for name, place in (("\u00dcbung 1 (a)/2026", "\u00dcbung 1 (a)/2026"),
                            (urllib.parse.quote(odd), odd)):
            self.source.bench(folder, f"{server.url}/{name}")
            self.carry(folder)
            self.assertEqual(len(list((server.root / "lab" / place).glob("*/proof.json"))), 2)

    @each_make
    def test_answers_that_are_lost_change_nothing(self, server, folder):
        with LosingProxy(server.port) as proxy:
            proxy.most = 4
            self.source.bench(folder, proxy.url, half=True)
            self.carry(folder)
            proxy.most = 5
            self.assertEqual(shown(server), self.source.first)
            faults, proxy.faults = proxy.faults, 0
            self.strike(folder, 2)
            self.carry(folder)
            self.assertEqual(set(shown(server)), set(self.source.last))
            self.assertEqual((faults, proxy.faults), (4, 5))
        verified(server)

    @each_make
    def test_long_files_are_compared_by_their_length(self, server, folder):
        """Above 8 MiB; put by the notebook's own class, for no run here is so long."""
        length = 9 << 20
        for fault, code in ((None, 0), ("half", 74)):
            with FaultProxy(server.port, fault, at=1, only="PUT") as proxy:
                done = subprocess.run([os.environ["NESTCUP_DAV_PUT"], proxy.url, str(length)],
                                      capture_output=True, text=True, check=False)
                self.assertEqual(done.returncode, code, done.stderr)
                there = (server.root / "lab" / "readings.csv").stat().st_size
                self.assertEqual(there, length // 2 if fault else length)
                self.assertEqual("is not what was sent" in done.stderr, bool(fault))

    @each_make
    def test_a_collection_that_was_moved_away_is_waited_for(self, server, folder):
        self.source.bench(folder, server.url, half=True)
        self.carry(folder)
        (server.root / "lab").rename(server.root / "away")
        self.strike(folder, 1)
        done = sync(folder)
        self.assertEqual(done.returncode, 75, done.stdout + done.stderr)
        self.assertIn("the collection is gone", nestcup(folder, "sync", "--status").stdout)
        self.assertFalse((server.root / "lab").exists())
        (server.root / "away").rename(server.root / "lab")
        self.carry(folder)
        verified(server)

    @each_make
    def test_another_folder_in_a_runs_place_is_left_alone(self, server, folder):
        self.source.bench(folder, server.url)
        (run, _) = [path for path, data in self.source.last.items() if data is None]
        taken = [server.root / "lab" / run, server.root / "lab" / (run + "000008")]
        for path in taken:
            path.mkdir(parents=True)
            (path / "mine.txt").write_text("mine")
            for one in (path, *path.iterdir()):
                one.chmod(0o777)
        (server.root / "lab").chmod(0o777)
        done = sync(folder)
        long = [path.name for path in (server.root / "lab").glob(run + "*")]
        status = nestcup(folder, "sync", "--status").stdout
        if done.returncode == 0:
            self.assertEqual(len(long), 3)  # the longer name was free
        else:
            self.assertEqual(done.returncode, 65)
            self.assertIn("move it away", status)
        for path in taken:
            self.assertEqual([one.name for one in path.iterdir()], ["mine.txt"])


if __name__ == "__main__":
    unittest.main()

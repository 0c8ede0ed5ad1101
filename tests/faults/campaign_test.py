#!/usr/bin/env python3
"""Campaigns on programs that are not ours: SQLite's own shell, whose store survives a fault at
every step, and curl, which sends all or says that it could not. SQLite promises the former
(https://www.sqlite.org/atomiccommit.html), so that a store found broken here would be a mistake of
the shim."""

import contextlib
import http.server
import io
import os
import pathlib
import sqlite3
import tempfile
import threading
import unittest

from faults import each_step, run_with, steps

STEPS = os.environ["NESTCUP_TEST_FAULT_STEPS"]
SQLITE = ["/usr/bin/sqlite3", "-batch", "-bail"]
BEFORE = [(1, "before")]
AFTER = BEFORE + [(2, "x" * 5000), (3, "y")]
ADD = "pragma synchronous=full; begin; insert into t values (2, '" + "x" * 5000 + "'); " \
      "insert into t values (3, 'y'); commit; select 'stored';"


def store_in(mode):
    """What makes a store of one row whose journal is of this mode."""
    def make(folder):
        with contextlib.closing(sqlite3.connect(folder / "a.db")) as store:
            store.execute("pragma synchronous=off")
            store.execute(f"pragma journal_mode={mode}")
            store.execute("create table t (number integer primary key, text)")
            store.execute("insert into t values (1, 'before')")
            store.commit()
    return make


def add(folder):
    return [*SQLITE, folder / "a.db", ADD]


def rows(folder):
    """The rows of the store, which must be whole."""
    with contextlib.closing(sqlite3.connect(folder / "a.db")) as store:
        assert store.execute("pragma integrity_check").fetchall() == [("ok",)]
        return store.execute("select * from t order by number").fetchall()


class Keeper(http.server.BaseHTTPRequestHandler):
    """Keeps what is put, where all of it came."""

    def do_PUT(self):
        size = int(self.headers["Content-Length"])
        body = self.rfile.read(size)
        if len(body) == size:
            self.server.kept.append(body)
            self.send_response(201)
            self.end_headers()

    def log_message(self, *_):
        pass


class Campaigns(unittest.TestCase):
    def folder(self):
        keeper = tempfile.TemporaryDirectory()
        self.addCleanup(keeper.cleanup)
        return pathlib.Path(keeper.name).resolve()

    def all_or_nothing(self, folder, run, what):
        """Whatever happens, both rows are there or none; once told "stored", both."""
        found = rows(folder)
        self.assertIn(found, [BEFORE, AFTER], what)
        if "stored" in run.output:
            self.assertEqual(found, AFTER, what)
        if not run.had_fault():
            self.assertEqual((run.code, found), (0, AFTER), what)

    def test_every_step_of_a_commit(self):
        for mode in ("wal", "delete"):
            with self.subTest(mode):
                counts = each_step(store_in(mode), add, self.all_or_nothing,
                                   kinds=("error:ENOSPC", "short", "kill", "kill_after"),
                                   name=f"sqlite3, journal_mode={mode}")
                folder = self.folder()
                store_in(mode)(folder)
                whole = steps(add(folder), [folder])
                self.assertEqual((counts["kill"], counts["kill_after"]), (whole, whole))
                self.assertGreater(whole, 8)
                self.assertGreaterEqual(counts["short"], whole)

    def test_a_sync_that_fails_is_told(self):
        for mode in ("wal", "delete"):
            folder = self.folder()
            store_in(mode)(folder)
            run = run_with(add(folder), [folder], calls=["sync"], at=1, errno="EIO")
            self.assertNotEqual(run.code, 0)
            self.assertNotIn("stored", run.output)
            self.assertIn("disk I/O error", run.errors)
            self.assertEqual(rows(folder), BEFORE)

    def test_a_full_disk_is_told(self):
        folder = self.folder()
        store_in("delete")(folder)
        run = run_with(add(folder), [folder / "a.db-journal"], calls=["write"], at=1,
                       more="forever", errno="ENOSPC")
        self.assertNotEqual(run.code, 0)
        self.assertIn("database or disk is full", run.errors)
        self.assertEqual(rows(folder), BEFORE)

    def test_what_counts_of_a_store(self):
        folder = self.folder()
        store_in("wal")(folder)
        run = run_with(add(folder), [folder / "a.db"])
        seen = {(step.call, os.path.basename(step.path)) for step in run.steps}
        self.assertLessEqual({("pwrite", "a.db"), ("pwrite", "a.db-wal"), ("fdatasync", "a.db"),
                              ("fdatasync", "a.db-wal"), ("unlink", "a.db-wal")}, seen)

    def test_the_check_gets_words_and_its_failure_ends_the_campaign(self):
        told = []

        def check(folder, run, what):
            told.append(what)
            assert len(told) < 3, what

        def command(folder):
            return [STEPS, folder, "write", "fsync"]

        with self.assertRaisesRegex(AssertionError, r"error:EROFS at step 3 \(open .*/file\)"):
            each_step(lambda folder: None, command, check, kinds=("error:EROFS",))
        self.assertRegex(told[1], r"^error:EROFS at step 2 \(write .*/file\): exit code 0, no mess")
        told[:] = [""] * -3
        printed = io.StringIO()
        with contextlib.redirect_stdout(printed):
            counts = each_step(lambda folder: None, command, lambda *_: None,
                               kinds=("kill", "slow"), name="two files", ms=1)
        self.assertEqual(counts, {"kill": 4, "slow": 4})
        self.assertEqual(printed.getvalue(),
                         "two files: 4 steps with kill, 4 steps with slow\n")

    def test_curl_sends_all_or_says_so(self):
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Keeper)
        server.kept = []
        threading.Thread(target=server.serve_forever).start()
        self.addCleanup(server.server_close)
        self.addCleanup(server.shutdown)
        text = "0123456789" * 30000

        def make(folder):
            server.kept.clear()
            (folder / "text").write_text(text)

        def command(folder):
            return ["/usr/bin/curl", "-sS", "--noproxy", "*", "-H", "Expect:", "-T",
                    folder / "text", f"http://127.0.0.1:{server.server_port}/text"]

        def check(folder, run, what):
            send_error = 55  # CURLE_SEND_ERROR of https://curl.se/libcurl/c/libcurl-errors.html
            failed = any(step.outcome.startswith("made to fail") for step in run.steps)
            self.assertEqual((run.code, [body.decode() for body in server.kept]),
                             (send_error, []) if failed else (0, [text]), what)
            self.assertEqual({step.call for step in run.steps}, {"send"}, what)

        counts = each_step(make, command, check, kinds=("error:ECONNRESET", "short"),
                           paths=lambda folder: ["inet"], name="curl")
        self.assertGreater(counts["error:ECONNRESET"], 1)

    def test_a_campaign_without_steps_fails(self):
        with self.assertRaisesRegex(AssertionError, "makes no step that counts"):
            each_step(lambda folder: None, lambda folder: ["/bin/true"], lambda *_: None)


if __name__ == "__main__":
    unittest.main()

#!/usr/bin/env python3
"""Steps are counted, and each kind of fault does to real files and sockets what it says.

NESTCUP_TEST_FAULT_STEPS is a C++ program that makes one step after the other (steps.cpp).
"""

import os
import pathlib
import socket
import subprocess
import sys
import tempfile
import threading
import time
import unittest

from faults import counter, read_log, run_with, steps, surroundings

STEPS = os.environ["NESTCUP_TEST_FAULT_STEPS"]
# Each way to make a step, and what the shim should see of it: call and path.
SEEN = {
    "create": [("open", "file")],
    "write": [("open", "file"), ("write", "file")],
    "pwrite": [("open", "file"), ("pwrite", "file")],
    "writev": [("open", "file"), ("writev", "file")],
    "pwritev": [("open", "file"), ("pwritev", "file")],
    "fsync": [("open", "file"), ("fsync", "file")],
    "fdatasync": [("open", "file"), ("fdatasync", "file")],
    "sync-range": [("open", "file"), ("sync_file_range", "file")],
    "ftruncate": [("open", "file"), ("ftruncate", "file")],
    "allocate": [("open", "file"), ("fallocate", "file")],
    "stream": [("fopen", "stream"), ("write", "stream")],
    "long-stream": [("fopen", "stream"), ("writev", "stream")],
    "mkdir": [("mkdir", "made")],
    "mkdirs": [("mkdir", "made"), ("mkdir", "made/deep")],
    "rename": [("rename", "new")],
    "remove": [("remove", "old")],
    "resize": [("truncate", "old")],
    "hard-link": [("link", "hard")],
    "soft-link": [("symlink", "soft")],
}
# A program with a child that it starts and one that is a copy of it; takes the first one's words.
FAMILY = """
import os, subprocess, sys
with open("mine", "w") as file: file.write("x")
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL)
child = os.fork()
if child == 0:
    os.mkdir("forked")
    os._exit(0)
os.wait()
os.rename("mine", "last")
"""
# Its thread's write is slow; its own is not.
TWO_THREADS = """
import os, threading, time
file = os.open("file", os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
threading.Thread(target=os.write, args=(file, b"late")).start()
def count():
    with open(os.environ["NESTCUP_FAULT_CHILDREN"], "rb") as counted:
        return int.from_bytes(counted.read(8), "little")
while count() < 2: time.sleep(0.001)
os.write(file, b"soon")
print("written", flush=True)
"""
ERRNOS = ["ENOSPC", "EIO", "EROFS", "EACCES", "EDQUOT"]


class Folder(unittest.TestCase):
    def setUp(self):
        keeper = tempfile.TemporaryDirectory()
        self.addCleanup(keeper.cleanup)
        self.outer = pathlib.Path(keeper.name).resolve()
        self.folder = self.fresh("folder")

    def fresh(self, name):
        """A folder with a file `old` and a tree to remove."""
        folder = self.outer / name
        (folder / "tree" / "deep").mkdir(parents=True)
        (folder / "old").write_text("0123456789")
        (folder / "tree" / "deep" / "leaf").write_text("x")
        return folder

    def make(self, *words, folder=None, paths=None, **fault):
        """Makes steps. @return the run and its lines, "step outcome" each"""
        folder = folder or self.folder
        run = run_with([STEPS, folder, *words], paths or [f"{folder}/"], **fault)
        return run, run.output.splitlines()

    def seen(self, run, folder=None):
        return [(step.call, os.path.relpath(step.path, folder or self.folder))
                for step in run.steps]


class Counting(Folder):
    def test_each_call_is_one_step(self):
        for number, (word, expected) in enumerate(SEEN.items()):
            with self.subTest(word):
                folder = self.fresh(f"{number}")
                run, lines = self.make(word, folder=folder)
                self.assertEqual((run.code, run.errors), (0, ""))
                self.assertEqual(self.seen(run, folder), expected)
                self.assertEqual([step.number for step in run.steps],
                                 list(range(1, len(expected) + 1)))
                self.assertEqual({step.outcome for step in run.steps}, {"done"})
                self.assertNotRegex(lines[0], " E")

    def test_tree_and_copy(self):
        run, _ = self.make("remove-all")
        self.assertEqual(sorted(path for _, path in self.seen(run)),
                         ["tree", "tree/deep", "tree/deep/leaf"])
        self.assertFalse((self.folder / "tree").exists())
        run, _ = self.make("copy")
        self.assertEqual({path for _, path in self.seen(run)}, {"copy"})
        self.assertGreaterEqual(len(run.steps), 2)

    def test_steps_is_the_length_of_the_log(self):
        words = [word for word in SEEN if word != "mkdir"]  # mkdirs makes that one
        self.assertEqual(steps([STEPS, self.folder, *words], [f"{self.folder}/"]),
                         sum(len(SEEN[word]) for word in words))

    def test_other_paths_are_left_alone(self):
        run, lines = self.make("beside", "write", at=1, more="forever", calls=["sync", "create"])
        self.assertEqual(lines, ["beside 0", "write EIO"])
        self.assertEqual(self.seen(run), [("open", "file")])
        # A name that only begins like the folder, and a folder without the slash.
        run, _ = self.make("beside", paths=[self.outer / "bes"])
        self.assertEqual([step.call for step in run.steps], ["open", "fsync"])
        run, _ = self.make("beside", paths=[f"{self.outer}/bes/"])
        self.assertEqual(run.steps, [])

    def test_a_move_counts_on_either_side(self):
        for paths in (f"{self.folder}/", self.outer / "out"):
            run, lines = self.make("move-out", paths=[paths], at=1, errno="EXDEV")
            self.assertEqual((lines, self.seen(run)), (["move-out EXDEV"], [("rename", "../out")]))
        run, lines = self.make("move-out", paths=[self.outer / "elsewhere"], at=1)
        self.assertEqual((lines, run.steps), (["move-out 0"], []))

    def test_paths_go_without_links(self):
        link = self.outer / "link"
        link.symlink_to(self.folder)
        run, _ = self.make("write", "rename", folder=link, paths=[link])
        self.assertEqual(self.seen(run), [("open", "file"), ("write", "file"), ("rename", "new")])

    def test_classes(self):
        for word, calls in [("write", ["open", "write"]), ("create", ["open"]),
                            ("fsync", ["open", "fsync"]), ("rename", ["rename"])]:
            with self.subTest(word):
                folder = self.fresh(f"class-{word}")
                run, _ = self.make(word, folder=folder, calls=["write", "sync"])
                self.assertEqual([step.call for step in run.steps],
                                 [call for call in calls if call in ("write", "fsync")])

    def test_a_call_that_fails_by_itself_is_logged_so(self):
        run, lines = self.make("rename", "rename")
        self.assertEqual(lines, ["rename 0", "rename ENOENT"])
        self.assertEqual([step.outcome for step in run.steps], ["done", "ENOENT"])
        self.assertFalse(run.had_fault())

    def test_threads(self):
        run, lines = self.make("threads", calls=["write"], at=400, more=9)
        self.assertEqual(lines, ["threads 10"])
        self.assertEqual([step.number for step in run.steps], list(range(1, 801)))
        self.assertEqual([step.number for step in run.steps if step.had_fault()],
                         list(range(400, 410)))
        self.assertEqual((self.folder / "threads").stat().st_size, 790)

    def test_children(self):
        for children, expected in [(False, ["mine", "mine", "last"]),
                                   (True, ["mine", "mine", "file", "file", "forked", "last"])]:
            with self.subTest(children):
                folder = self.fresh(f"children-{children}")
                run = run_with([sys.executable, "-c", FAMILY, STEPS, folder, "fsync"],
                               [f"{folder}/"], cwd=folder, children=children)
                self.assertEqual((run.code, run.errors), (0, ""))
                self.assertEqual([path for _, path in self.seen(run, folder)], expected)
                self.assertEqual([step.number for step in run.steps],
                                 list(range(1, len(expected) + 1)))

    def test_a_fault_in_a_child(self):
        run = run_with([sys.executable, "-c", FAMILY, STEPS, self.folder, "fsync"],
                       [f"{self.folder}/"], cwd=self.folder, children=True, at=4, kind="kill")
        self.assertEqual((run.code, [step.outcome for step in run.steps]),
                         (0, ["done"] * 3 + ["killed before"] + ["done"] * 2))


class Kinds(Folder):
    def test_error_fails_that_step_alone(self):
        for errno in ERRNOS:
            with self.subTest(errno):
                folder = self.fresh(errno)
                run, lines = self.make("write", "write", "write", folder=folder, at=4, errno=errno)
                self.assertEqual(lines, ["write 10", f"write {errno}", "write 10"])
                self.assertEqual([step.outcome for step in run.steps],
                                 ["done"] * 3 + [f"made to fail: {errno}"] + ["done"] * 2)

    def test_every_call_can_fail_and_does_nothing_then(self):
        for word, expected in SEEN.items():
            for at in range(1, len(expected) + 1):
                with self.subTest(word=word, at=at):
                    folder = self.fresh(f"{word}-{at}")
                    before = sorted(folder.rglob("*"))
                    run, lines = self.make(word, folder=folder, at=at, errno="EDQUOT")
                    self.assertEqual(lines, [f"{word} EDQUOT"])
                    self.assertEqual(run.steps[at - 1].outcome, "made to fail: EDQUOT")
                    self.assertEqual((folder / "old").read_text(), "0123456789")
                    if at == 1:
                        self.assertEqual(sorted(folder.rglob("*")), before)
                    elif word == "stream":
                        # libstdc++ writes what it still holds once more when it closes the file.
                        self.assertEqual(run.steps[at].outcome, "done")
                    else:
                        made = folder / expected[0][1]
                        self.assertTrue(made.is_dir() or made.stat().st_size == 0)

    def test_more_and_forever(self):
        for more, expected in [(0, "X...."), (1, "XX..."), ("forever", "XXXXX")]:
            _, lines = self.make(*["write"] * 5, calls=["write"], at=1, more=more)
            self.assertEqual("".join("X" if "EIO" in line else "." for line in lines), expected)

    def test_every(self):
        for every, more, expected in [(2, "forever", ".X.X."), (3, "forever", ".X..X"),
                                      (2, 1, ".X..."), (9, "forever", ".X...")]:
            _, lines = self.make(*["write"] * 5, calls=["write"], at=2, more=more, every=every)
            self.assertEqual("".join("X" if "EIO" in line else "." for line in lines), expected)

    def test_short(self):
        for word, path in [("write", "file"), ("pwrite", "file"), ("writev", "file"),
                           ("pwritev", "file")]:
            with self.subTest(word):
                folder = self.fresh(f"short-{word}")
                run, lines = self.make(word, folder=folder, at=2, kind="short")
                self.assertEqual(lines, [f"{word} 5"])
                self.assertEqual(run.steps[-1].outcome, "shortened")
                begin = b"\0\0" if word.startswith("p") else b""
                self.assertEqual((folder / path).read_bytes(), begin + b"01234")
        run, lines = self.make("one-byte", "fsync", at=1, more="forever", kind="short")
        self.assertEqual(lines, ["one-byte 1", "fsync 0"])
        self.assertFalse(run.had_fault())

    def test_streams_write_on_after_a_short_write(self):
        for word, size in [("stream", 20), ("long-stream", 100_000)]:
            run, lines = self.make(word, at=2, kind="short")
            self.assertEqual(lines, [f"{word} 0"])
            self.assertEqual((self.folder / "stream").stat().st_size, size)
            self.assertGreater(len(run.steps), 2)

    def test_kills_leave_what_was_done(self):
        # Step 2 opens the file that step 1 has made.
        for at, before, after in [(1, [], [("file", "")]), (2, [("file", "")], [("file", "")]),
                                  (3, [("file", "")], [("file", "0123456789")]),
                                  (4, [("file", "0123456789")], [("made", None)]),
                                  (5, [("made", None), ("old", "0123456789")],
                                   [("new", "0123456789")])]:
            for kind, there in [("kill", before), ("kill_after", after)]:
                with self.subTest(at=at, kind=kind):
                    folder = self.fresh(f"{kind}-{at}")
                    run, _ = self.make("create", "write", "mkdir", "rename", folder=folder, at=at,
                                       kind=kind)
                    self.assertEqual((run.code, len(run.steps)), (-9, at))
                    self.assertEqual(run.steps[-1].outcome,
                                     "killed after" if kind == "kill_after" else "killed before")
                    for name, text in there:
                        path = folder / name
                        self.assertTrue(path.exists(), name)
                        self.assertEqual(text, None if path.is_dir() else path.read_text())
                    for name, _ in set(after) - set(before):
                        if kind == "kill":
                            path = folder / name
                            self.assertTrue(not path.exists() or path.stat().st_size == 0, name)

    def test_slow_comes_late(self):
        start = time.monotonic()
        run, lines = self.make("write", at=2, kind="slow", ms=300)
        self.assertGreaterEqual(time.monotonic() - start, 0.3)
        self.assertEqual((run.steps[1].outcome, lines), ("done late", ["write 10"]))

    def test_slow_waits_before_its_call_and_holds_up_no_other_thread(self):
        variables = surroundings([f"{self.folder}/"], self.outer / "log", at=2, kind="slow",
                                 ms=600_000, children=counter(self.outer))
        with subprocess.Popen([sys.executable, "-c", TWO_THREADS], env=variables, cwd=self.folder,
                              stdout=subprocess.PIPE, text=True) as program:
            self.assertEqual(program.stdout.readline(), "written\n")
            self.assertEqual((self.folder / "file").read_text(), "soon")
            program.kill()
        self.assertEqual([step.number for step in read_log(self.outer / "log")], [1, 3])
        self.assertEqual((self.folder / "file").read_text(), "soon")


class Sockets(Folder):
    def setUp(self):
        super().setUp()
        listener = socket.create_server(("127.0.0.1", 0))
        self.addCleanup(listener.close)
        self.port = listener.getsockname()[1]
        self.received = []
        self.listener = listener

    def receive(self):
        line, _ = self.listener.accept()
        with line:
            data = b""
            while block := line.recv(1000):
                data += block
        self.received.append(data)

    def send(self, paths, **fault):
        receiver = threading.Thread(target=self.receive)
        receiver.start()
        run, lines = self.make(f"send:{self.port}", "write", paths=paths, **fault)
        receiver.join()
        return run, lines[0].split()[1:], self.received[-1]

    def test_each_way_to_send(self):
        for paths in (["inet"], ["socket"]):
            run, sent, received = self.send(paths)
            self.assertEqual((sent, received), (["10"] * 4, b"0123456789" * 4))
            self.assertEqual([step.call for step in run.steps], ["send", "sendto", "sendmsg",
                                                                 "write"])
        run, _, _ = self.send(["unix", f"{self.folder}/"])
        self.assertEqual([step.call for step in run.steps], ["open", "write"])

    def test_sockets_of_unix(self):
        script = "import socket; a, b = socket.socketpair(); a.send(b'x'); assert b.recv(1) == b'x'"
        for path, calls in [("unix", ["send"]), ("socket", ["send"]), ("inet", [])]:
            run = run_with([sys.executable, "-c", script], [path])
            self.assertEqual((run.code, [step.call for step in run.steps]), (0, calls))

    def test_faults_of_each_way(self):
        for at in range(1, 5):
            _, sent, received = self.send(["socket"], at=at, errno="ECONNRESET", calls=["send"])
            self.assertEqual((sent[at - 1], len(received)), ("ECONNRESET", 30))
            _, sent, received = self.send(["socket"], at=at, kind="short")
            self.assertEqual((sent[at - 1], len(received)), ("5", 35))
            self.assertEqual(received[10 * at - 10:10 * at - 5], b"01234")


class Settings(Folder):
    def test_wrong_ones_are_refused(self):
        for change, words in [({"kind": "odd"}, "error, short, slow, kill or kill_after"),
                              ({"errno": "ENOTHING"}, "a name such as ENOSPC"),
                              ({"at": "soon"}, "a whole number"), ({"at": -1}, "a whole number"),
                              ({"calls": ["read"]}, "of write,sync"),
                              ({"paths": ["here"]}, "absolute paths"),
                              ({"more": "ever"}, "a whole number")]:
            with self.subTest(change):
                run, lines = self.make("write", **{"at": 1, **change})
                self.assertEqual((run.code, lines), (64, []))
                self.assertRegex(run.errors, f"^fault shim: NESTCUP_FAULT_.*{words}.*\n$")
        self.assertFalse((self.folder / "file").exists())

    def pass_by(self, variables):
        """Writes with these surroundings. @return exit code and what was complained of"""
        done = subprocess.run([STEPS, self.folder, "write"], env=variables, check=False, text=True,
                              stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        return done.returncode, done.stderr

    def test_children_need_a_file(self):
        code, errors = self.pass_by(surroundings(["/"], self.outer / "log",
                                                 children=self.outer / "none"))
        self.assertEqual(code, 64)
        self.assertRegex(errors, "NESTCUP_FAULT_CHILDREN is .*none.*a file of at least 8 bytes")

    def test_without_paths_all_passes(self):
        variables = surroundings([], self.outer / "log", at=1, more="forever")
        del variables["NESTCUP_FAULT_PATHS"]
        self.assertEqual(self.pass_by(variables), (0, ""))
        self.assertEqual((self.folder / "file").read_text(), "0123456789")
        self.assertFalse((self.outer / "log").exists())


if __name__ == "__main__":
    unittest.main()

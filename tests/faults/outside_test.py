#!/usr/bin/env python3
"""What the shim counts is what the kernel sees: strace watches the same run from outside."""

import os
import pathlib
import re
import subprocess
import tempfile
import unittest

from faults import counter, read_log, surroundings

STEPS = os.environ["NESTCUP_TEST_FAULT_STEPS"]
# The system call that a step's call comes to; others are their own.
SYSTEM_CALL = {"open": "openat", "fopen": "openat", "creat": "openat", "pwrite": "pwrite64",
               "posix_fallocate": "fallocate", "send": "sendto"}
TRACED = ["write", "pwrite64", "writev", "pwritev", "pwritev2", "sendfile", "copy_file_range",
          "fsync", "fdatasync", "sync_file_range", "rename", "renameat", "renameat2", "openat",
          "mkdir", "mkdirat", "link", "linkat", "symlink", "symlinkat", "unlink", "unlinkat",
          "rmdir", "truncate", "ftruncate", "fallocate", "sendto", "sendmsg"]
ON_WORKING_FOLDER = ["rename", "mkdir", "link", "symlink", "unlink", "rmdir", "truncate"]
ON_NAMES = ON_WORKING_FOLDER + ["openat", "renameat", "renameat2", "mkdirat", "linkat", "symlinkat",
                                "unlinkat"]
CALL = re.compile(r"^\d+ +(\w+)\((.*)\) += (-?\w+)", re.DOTALL)
SQL = "create table t (n); insert into t values (1); pragma journal_mode=%s; " \
      "insert into t values (zeroblob(30000)); delete from t; vacuum;"
PYTHON = """
import os, shutil
os.makedirs("a/b")
with open("a/b/c", "w") as file:
    file.write("x" * 100000)
    file.flush()
    os.fsync(file.fileno())
os.replace("a/b/c", "a/d")
shutil.copytree("a", "e")
os.truncate("e/d", 5)
os.posix_fallocate(os.open("f", os.O_CREAT | os.O_RDWR), 0, 100)
shutil.rmtree("a")
"""


def finished_lines(trace):
    """Lines as if no call had come between the beginning and the end of another; in the order of
    their beginnings."""
    lines, begun = [], {}
    for line in trace.read_text(errors="replace").splitlines():
        process = line.split()[0]
        if line.endswith(" <unfinished ...>"):
            begun[process] = len(lines)
            lines.append(line[:-len(" <unfinished ...>")])
        elif "resumed>" in line:
            lines[begun.pop(process)] += line.split("resumed>", 1)[1]
        else:
            lines.append(line)
    return lines


def is_about(folder, call, words):
    """-y shows files with their paths and the working folder as AT_FDCWD<...>."""
    absolute = re.search('"(/[^"]*)"', words) if call in ON_NAMES else None
    if absolute:
        return absolute.group(1).startswith(f"{folder}/")
    return call in ON_WORKING_FOLDER or str(folder) in words


def seen_by_the_kernel(trace, folder):
    """(call, whether it succeeded) of each line about the folder, the working one, that would be a
    step."""
    found = filter(None, map(CALL.match, finished_lines(trace)))
    return [(call, not result.startswith("-")) for call, words, result in
            (line.groups() for line in found)
            if is_about(folder, call, words) and (call != "openat" or "O_CREAT" in words)]


class Outside(unittest.TestCase):
    def setUp(self):
        keeper = tempfile.TemporaryDirectory()
        self.addCleanup(keeper.cleanup)
        self.outer = pathlib.Path(keeper.name).resolve()

    def watch(self, command, **fault):
        """Runs a command in a new folder. @return kernel's calls, the shim's steps, exit code"""
        folder = pathlib.Path(tempfile.mkdtemp(dir=self.outer)) / "watched"
        (folder / "tree" / "deep").mkdir(parents=True)
        (folder / "old").write_text("0123456789")
        trace, log = folder.parent / "trace", folder.parent / "log"
        variables = surroundings([f"{folder}/"], log, children=counter(folder.parent), **fault)
        # LeakSanitizer cannot work under strace.
        variables["ASAN_OPTIONS"] += ":detect_leaks=0"
        shown = [word for name in variables if name.startswith(("NESTCUP_FAULT", "LD_PRE", "ASAN"))
                 for word in ("-E", f"{name}={variables[name]}")]
        done = subprocess.run(
            ["strace", "-f", "-y", "-s", "16", "-o", trace, "-e", "trace=" + ",".join(TRACED),
             *shown, *command], cwd=folder, check=False, encoding="utf-8",
            stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.assertTrue(trace.exists(), done.stderr)
        return seen_by_the_kernel(trace, folder), read_log(log), done

    def compare(self, command):
        kernel, steps, done = self.watch(command)
        self.assertEqual(done.returncode, 0, done.stderr)
        ours = [(SYSTEM_CALL.get(step.call, step.call), step.outcome == "done") for step in steps]
        # remove is unlink, and rmdir where that is not enough.
        ours = [("unlink" if call == "remove" else call, ok) for call, ok in ours]
        self.assertEqual(ours, kernel)
        return len(steps)

    def test_cpp(self):
        words = ["create", "write", "one-byte", "pwrite", "writev", "pwritev", "fsync", "fdatasync",
                 "sync-range", "ftruncate", "allocate", "stream", "long-stream", "threads",
                 "mkdirs", "copy", "resize", "hard-link", "soft-link", "rename", "rename"]
        self.assertGreater(self.compare([STEPS, ".", *words]), 830)

    def test_sqlite(self):
        for mode in ("wal", "delete"):
            with self.subTest(mode):
                self.assertGreater(self.compare(["/usr/bin/sqlite3", "a.db", SQL % mode]), 20)

    def test_python(self):
        self.assertGreater(self.compare(["/usr/bin/python3", "-I", "-c", PYTHON]), 15)

    def test_tools_and_their_children(self):
        script = "mkdir a; cp old a/b; mv a/b a/c; ln a/c d; rm -r a tree; truncate -s 3 d; sync d"
        self.assertGreater(self.compare(["sh", "-c", script]), 8)

    def test_a_killed_program_has_done_the_steps_before(self):
        command = ["/usr/bin/sqlite3", "a.db", "create table t (n); insert into t values (1);"]
        whole, _, _ = self.watch(command)
        for at in range(1, len(whole) + 1):
            for kind, done in [("kill", at - 1), ("kill_after", at)]:
                kernel, steps, _ = self.watch(command, at=at, kind=kind)
                self.assertEqual((kernel, len(steps)), (whole[:done], at), f"{kind} {at}")


if __name__ == "__main__":
    unittest.main()

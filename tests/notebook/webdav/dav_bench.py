"""Benches whose runs go to a WebDAV server, and what has to be there in the end: the same files as
in a notebook that is a folder."""

import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "campaign"))

from bench_folder import (NESTCUP, STORE_FILES, change, check_carried, check_chain,  # noqa: E402
                          is_hidden, made_bench, nestcup, rows, sync, tree)

__all__ = ["NESTCUP", "Source", "WithSource", "change", "check_there", "nestcup", "rows", "shown",
           "sync", "tree", "verified", "write_notebook"]


def write_notebook(folder, url, *more):
    """The bench's notebook is at that address from now on."""
    path = folder / "bench.toml"
    head = path.read_text(encoding="utf-8").split("[[notebook]]")[0]
    lines = [head + '[[notebook]]', 'kind = "webdav"', f'url = "{url}"', *more]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


class Source:
    """A bench with `count` runs, every other one with two revisions, and its notebook as a folder
    before (`first`) and after the second ones (`last`)."""

    def __init__(self, home, count=2, charts=False):
        self.home = pathlib.Path(home) / "source"
        self.more = () if charts else ("charts = false",)
        made_bench(self.home, count, kinds=2, charts=charts)
        assert sync(self.home).returncode == 0
        self.first = tree(self.home / "notebook")
        self.half = pathlib.Path(home) / "half"
        self.half.mkdir()
        self.copy_store(self.home, self.half)
        for number in range(2, count + 1, 2):
            assert nestcup(self.home, "strike", number, "--reason", "spilt").returncode == 0
        assert sync(self.home).returncode == 0
        check_carried(self.home)
        self.last = tree(self.home / "notebook")

    @staticmethod
    def copy_store(source, target):
        for name in (*STORE_FILES, "bench.toml"):
            if (source / name).exists():
                shutil.copy(source / name, target / name)
        change(target, ("DELETE FROM owed",), ("DELETE FROM notebook",))

    def bench(self, folder, url, *more, half=False):
        """A bench that has carried nothing yet. `half`: without the second revisions."""
        folder.mkdir(exist_ok=True)
        self.copy_store(self.half if half else self.home, folder)
        write_notebook(folder, url, *self.more, *more)
        return folder


def shown(server):
    """What people see of the notebook."""
    return {path: data for path, data in tree(server.root / "lab").items() if not is_hidden(path)}


def check_there(folder, server, expected):
    """Everything is there once and whole, and nothing else but the empty place for what comes."""
    assert rows(folder, "SELECT count(*) FROM owed WHERE state <> 'carried'") == [(0,)]
    assert shown(server) == expected, difference(shown(server), expected)
    # Apache leaves uploads behind that it was killed in; it shows them to nobody.
    hidden = [path for path in tree(server.root / "lab")
              if is_hidden(path) and not pathlib.PurePath(path).name.startswith(".davfs.tmp")]
    assert len(hidden) == 1 and hidden[0].startswith(".arriving-"), hidden
    check_chain(folder)


def difference(found, expected):
    return {"missing": sorted(set(expected) - set(found)),
            "more": sorted(set(found) - set(expected)),
            "other": [path for path in expected if path in found
                      and found[path] != expected[path]]}


def verified(server):
    call = subprocess.run([NESTCUP, "verify", server.root / "lab"], capture_output=True, text=True,
                          check=False)
    assert call.returncode == 0, call.stdout + call.stderr
    return call.stdout


class WithSource(unittest.TestCase):
    """Tests that carry the runs of one source, each from a bench of its own below `home`."""
    runs = 2
    charts = False

    @classmethod
    def setUpClass(cls):
        cls.keeper = tempfile.TemporaryDirectory()
        cls.home = pathlib.Path(cls.keeper.name).resolve()
        cls.source = Source(cls.home, cls.runs, cls.charts)

    @classmethod
    def tearDownClass(cls):
        cls.keeper.cleanup()

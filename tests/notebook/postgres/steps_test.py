#!/usr/bin/env python3
"""`nestcup sync` to a database whose connection is cut: before every message, behind every message
(its answer unheard, COMMIT among them), and after every so many bytes; or whose server falls
silent. Whatever was left, going on brings everything, once and whole; a cut in the middle of a pass
is even mended within it.

steps_test.py [EVERY [BYTES]]: every step, and every so many bytes (1 and 4099 by default).
"""

import pathlib
import shutil
import sys
import tempfile
import time

from course import check_carried, made_bench, prepared, strike, sync, synced, write_bench
from proxy import Proxy
from server import Server

PLAIN = "?sslmode=disable&gssencmode=disable"
RUNS = 3


class Attempt:
    """A bench with everything owed, an empty database, and something between them."""

    def __init__(self, server, source, home, **fault):
        self.server = server
        self.proxy = Proxy(server, **fault)
        self.folder = home / "bench"
        shutil.copytree(source, self.folder)
        server.sql("TRUNCATE nestcup.bench, nestcup.sheet CASCADE")

    def __enter__(self):
        self.proxy.__enter__()
        write_bench(self.folder, self.server.url(port=self.proxy.port, more=PLAIN))
        return self

    def __exit__(self, *_):
        self.proxy.__exit__()
        shutil.rmtree(self.folder)

    def sync(self, what):
        """A pass with the fault, and what is left of it mended by a second one."""
        call = sync(self.folder)
        assert call.returncode in (0, 75), f"{what}: {call.returncode} {call.stderr}"
        if call.returncode:
            assert "postgres://" in call.stderr, f"{what}: {call.stderr}"
            synced(self.folder)
        check_carried(self.server, [self.folder])
        return call.returncode


def each(server, source, home, kind, numbers):
    """@return how many passes had the fault, and how many of these mended it by themselves"""
    faults = mended = 0
    for number in numbers:
        with Attempt(server, source, home, **{kind: number}) as attempt:
            code = attempt.sync(f"{kind} {number}")
            if not attempt.proxy.had_fault:
                break
            faults += 1
            mended += code == 0
    return faults, mended


def silent(server, source, home):
    """A server that takes a statement and says nothing more is given up after a minute or so."""
    with Attempt(server, source, home, deaf=12) as attempt:
        begun = time.monotonic()
        call = sync(attempt.folder)
        took_s = time.monotonic() - begun
        assert call.returncode == 75 and 55 < took_s < 120, f"{call.returncode}, {took_s:.0f} s"
        assert "it does not answer" in call.stderr, call.stderr
        attempt.proxy.end(*attempt.proxy.open)  # else it takes the server a minute, too
        write_bench(attempt.folder, server.url())
        synced(attempt.folder)
        check_carried(server, [attempt.folder])
    print(f"silent: given up after {took_s:.0f} s", flush=True)


def source_bench(home):
    """Three runs, one of them struck out later: four revisions."""
    folder = made_bench(home / "source", "postgres://127.0.0.1/none", RUNS, kinds=2)
    strike(folder, 2)
    return folder


def main():
    every = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    stride = int(sys.argv[2]) if len(sys.argv) > 2 else 4099
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        home = pathlib.Path(keeper).resolve()
        source = source_bench(home)
        with Server(place) as server:
            prepared(server)
            for kind, numbers in (("before", range(1, 10_000, every)),
                                  ("after", range(1 + every // 2, 10_000, every)),
                                  ("commit", range(1, 10_000, every)),
                                  ("bytes_up", range(0, 10 ** 9, stride))):
                faults, mended = each(server, source, home, kind, numbers)
                print(f"{kind}: {faults} cuts, {mended} mended within the pass", flush=True)
                assert faults > 0 and mended > 0, kind
            if every == 1:
                silent(server, source, home)
    print(f"{time.monotonic() - begun:.0f} s: nothing lost, doubled or half written")


if __name__ == "__main__":
    main()

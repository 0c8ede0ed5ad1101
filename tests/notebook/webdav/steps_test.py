#!/usr/bin/env python3
"""A fault at every request of `nestcup sync` to WebDAV servers of four makes, and a connection cut
behind every n-th byte: afterwards a plain sync brings everything, once and whole.

NESTCUP_TEST_EVERY_STEP is how many requests lie between two faults in the short form; 1: each.
"""

import os
import pathlib
import tempfile
import unittest

from dav_bench import WithSource, check_there, nestcup, rows, shown, sync, verified
from fault_proxy import CutProxy, FaultProxy
from servers import MAKES, Server

EVERY = int(os.environ.get("NESTCUP_TEST_EVERY_STEP", "1"))
FAULTS = tuple(int(one) if one.isdigit() else one for one in os.environ.get(
    "NESTCUP_TEST_FAULTS", "unsent unanswered half 500 507").split())
FAILED = (65, 69, 73, 74, 75, 77)
BYTES = 1009 if EVERY == 1 else 200_003  # between two cuts
APART = 13  # requests between the first faults of two kinds, in the short form


def makes(number):
    """All; in the short form one, in turn."""
    return MAKES if EVERY == 1 else (MAKES[number % len(MAKES)],)


class Steps(WithSource):
    def prepare(self, server, proxy, folder, revision):
        """Nothing is there yet; with `revision` all but the second revision is."""
        server.clear()
        self.source.bench(folder, proxy.url, half=revision)
        if revision:
            proxy.at = None
            self.assertEqual(sync(folder).returncode, 0)
            self.assertEqual(nestcup(folder, "strike", 2, "--reason", "spilt").returncode, 0)

    def check_whole(self, server, what):
        """What shows is whole, whatever was cut off: files as they were or as they will be."""
        for path, data in shown(server).items():
            if path.startswith(("index ", "chain ")) or path.endswith(".old"):
                continue
            self.assertIn(data, [stage[path] for stage in (self.source.first, self.source.last)
                                 if path in stage], f"{what}: {path}")

    def check_end(self, server, folder, what, revision):
        again = sync(folder)
        self.assertEqual((again.returncode, again.stderr), (0, ""), what)
        if not revision:
            check_there(folder, server, self.source.last)
        else:  # another moment of the strike, so other bytes
            verified(server)
            self.assertEqual(set(shown(server)), set(self.source.last), what)
            self.assertEqual(rows(folder, "SELECT count(*) FROM owed WHERE state <> 'carried'"),
                             [(0,)], what)

    def each_request(self, make, fault, revision):
        """@return how many requests a pass makes"""
        with Server(make) as server, FaultProxy(server.port, fault) as proxy, \
                tempfile.TemporaryDirectory(dir=self.home) as name:
            folder = pathlib.Path(name)
            at = 1 if EVERY == 1 else 1 + APART * FAULTS.index(fault)
            while True:
                what = f"{make}, {fault} at request {at}{' of a revision' if revision else ''}"
                self.prepare(server, proxy, folder, revision)
                proxy.at, proxy.count, proxy.faults = at, 0, 0
                done = sync(folder)
                proxy.at = None
                if not revision:
                    self.check_whole(server, what)
                self.assertIn(done.returncode, (0, *FAILED), what)
                if done.returncode != 0:
                    self.assertIn("localhost", done.stderr, what)  # which place, and why
                self.check_end(server, folder, what, revision)
                if not proxy.faults:
                    return proxy.count
                at += EVERY

    def test_each_request_into_nothing(self):
        for number, fault in enumerate(FAULTS):
            counts = {make: self.each_request(make, fault, False) for make in makes(number)}
            print(f"{fault}: {counts} requests", flush=True)

    def test_each_request_of_a_revision(self):
        for number, fault in enumerate(FAULTS):
            counts = {make: self.each_request(make, fault, True) for make in makes(number + 2)}
            print(f"{fault}, a revision: {counts} requests", flush=True)

    def test_each_cut_of_the_connection(self):
        for make in makes(1):
            cuts = 0
            with Server(make) as server, tempfile.TemporaryDirectory(dir=self.home) as name:
                folder = pathlib.Path(name)
                at = 40
                while True:
                    what = f"{make}, cut behind byte {at}"
                    with CutProxy(server.port, at) as proxy:
                        self.prepare(server, proxy, folder, False)
                        done = sync(folder)
                        self.check_whole(server, what)
                        self.assertIn(done.returncode, (0, *FAILED), what)
                        if not proxy.was_cut:
                            self.assertEqual(done.returncode, 0, what)
                            break
                        proxy.cut = None
                        self.check_end(server, folder, what, False)
                    cuts += 1
                    at += BYTES
            print(f"{make}: {cuts} cuts, {BYTES} bytes apart", flush=True)


if __name__ == "__main__":
    unittest.main()

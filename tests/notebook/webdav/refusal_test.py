#!/usr/bin/env python3
"""What a server may refuse: told in one sentence, tried again or blocked, and never a loss.

Where NESTCUP_TEST_EVERY_STEP is more than 1, what all makes do meets one of them.
"""

import os
import pathlib
import shutil
import socket
import tempfile
import time
import unittest

from dav_bench import WithSource, check_there, nestcup, rows, shown, sync, verified
from fault_proxy import CutProxy, FaultProxy
from servers import MAKES, Server

# Status, what is said, and whether it blocks the revision. Meanings: RFC 9110, section 15;
# RFC 4918, section 11; RFC 6585, section 4.
STATUSES = [(403, "ask who runs it", False), (404, "is not there", False),
            (405, "collection", False), (409, "collection", False),
            (412, "in the meantime", False), (413, "takes no file as large", True),
            (423, "locked", False), (429, "fewer requests", False), (500, "in trouble", False),
            (502, "in trouble", False), (503, "busy", False), (507, "no room", False)]
SHORT = int(os.environ.get("NESTCUP_TEST_EVERY_STEP", "1")) > 1


def makes(number):
    return MAKES[number:number + 1] if SHORT else MAKES


class Refusal(WithSource):
    def bench(self, url):
        return self.source.bench(pathlib.Path(tempfile.mkdtemp(dir=self.home)), url)

    def states(self, folder):
        return dict(rows(folder, "SELECT state, count(*) FROM owed GROUP BY state"))

    def check_then_well(self, folder, server):
        """When the fault is gone, a plain sync brings everything."""
        done = sync(folder)
        self.assertEqual((done.returncode, done.stderr), (0, ""))
        check_there(folder, server, self.source.last)
        verified(server)

    def check_refused(self, folder, words, blocks):
        done = sync(folder)
        said = nestcup(folder, "sync", "--status").stdout
        if blocks:
            self.assertGreater(self.states(folder).get("blocked", 0), 0)
        else:
            self.assertEqual(done.returncode, 75)
            self.assertIn(words, done.stderr)
            self.assertEqual(self.states(folder), {"owed": 3})
        self.assertIn(words, said)
        return said

    def test_each_status_to_uploads(self):
        with Server("apache") as server:
            for status, words, blocks in STATUSES:
                with self.subTest(status):
                    shutil.rmtree(server.root / "lab", ignore_errors=True)
                    with FaultProxy(server.port, status, at=1, more=1000, only="PUT") as proxy:
                        folder = self.bench(proxy.url)
                        said = self.check_refused(folder, words, blocks)
                        self.assertIn(f"PUT {status}", said)
                        self.assertIn(proxy.url, said)
                        self.assertFalse([path for path in shown(server)
                                          if not path.startswith(("index ", "chain "))])
                        proxy.at = None
                        if blocks or not SHORT:
                            self.check_then_well(folder, server)

    def test_each_status_to_all_requests_is_asked_once(self):
        """A server that refuses is left alone until the pause is over."""
        with Server("apache") as server:
            for status, words, _ in STATUSES:
                if status in (404, 409):
                    continue  # an empty place, which is made
                with self.subTest(status), \
                        FaultProxy(server.port, status, at=1, more=1000) as proxy:
                    self.assertEqual(sync(self.bench(proxy.url)).returncode, 75, words)
                    self.assertLessEqual(len(proxy.seen), 2)

    def test_a_server_says_when_to_come_back(self):
        with Server("apache") as server:
            for status in (429, 503):
                with FaultProxy(server.port, status, at=1, more=1000,
                                headers=[("Retry-After", "1234")]) as proxy:
                    folder = self.bench(proxy.url)
                    begun = time.time()
                    done = sync(folder)
                    self.assertIn("asks for 1234 s", done.stderr)
                    ((next_us,),) = rows(folder, "SELECT max(next_try_us) FROM owed")
                    self.assertGreaterEqual(next_us * 1e-6 - begun, 1234)

    def test_a_redirect_is_not_followed(self):
        with Server("apache") as server, \
                FaultProxy(server.port, 301, at=1, more=1000,
                           headers=[("Location", f"{server.url}/elsewhere/")]) as proxy:
            done = sync(self.bench(proxy.url))
            self.assertEqual(done.returncode, 75)
            self.assertIn(f"to {server.url}/elsewhere/; if that is right, put it into url",
                          done.stderr)
            self.assertFalse(any(server.root.iterdir()))

    def test_files_that_a_server_takes_for_too_large(self):
        """Provoked really: nginx and Apache answer 413 (client_max_body_size, LimitRequestBody)."""
        largest = max(len(data) for data in self.source.last.values() if data is not None)
        for make in ("nginx", "apache"):
            with self.subTest(make), Server(make, longest=largest - 1) as server:
                folder = self.bench(server.url)
                sync(folder)
                self.assertGreater(self.states(folder).get("blocked", 0), 0)
                self.assertIn("takes no file as large",
                              nestcup(folder, "sync", "--status").stdout)
                server.stop()
                server.longest = 0
                server.write_settings()
                server.start()
                self.check_then_well(folder, server)

    def test_uploads_by_half_that_are_called_good(self):
        for make in makes(3):
            with self.subTest(make), Server(make) as server, \
                    FaultProxy(server.port, "half", at=1, more=1000, only="PUT") as proxy:
                folder = self.bench(proxy.url)
                done = sync(folder)
                self.assertEqual(done.returncode, 75)
                self.assertIn("is not what was sent", done.stderr)
                self.assertEqual(shown(server), {})
                proxy.at = None
                self.check_then_well(folder, server)

    def test_a_slow_server_is_waited_for(self):
        for make in makes(2):
            with self.subTest(make), Server(make) as server, \
                    CutProxy(server.port, pause_s=0.01) as proxy:
                folder = self.bench(proxy.url)
                self.check_then_well(folder, server)

    def test_a_server_that_is_down_or_none(self):
        with Server("rclone") as server:
            folder = self.bench(server.url)
            server.stop()
            done = sync(folder)
            self.assertEqual(done.returncode, 75)
            self.assertIn("is the server up", done.stderr)
            self.assertIn("is the server up", nestcup(folder, "sync", "--status").stdout)
            server.start()
            self.check_then_well(folder, server)
        done = sync(self.bench("http://nowhere.invalid/lab"))  # RFC 6761, section 6.4
        self.assertEqual(done.returncode, 75)
        self.assertIn("name is not known", done.stderr)

    def test_another_disk_that_is_full(self):
        """A place of 64 KiB: the server's own words for it (500 or 507), and nothing by half."""
        if os.geteuid() != 0:
            self.skipTest("mounting a small file system needs root")
        for make in makes(1):
            with self.subTest(make), Server(make) as server, small_disk(server) as grow:
                folder = self.bench(server.url)
                done = sync(folder)
                self.assertEqual(done.returncode, 75, done.stderr)
                self.assertIn("localhost", done.stderr)
                for path, data in shown(server).items():
                    self.assertEqual(data, self.source.last[path])
                grow()
                self.check_then_well(folder, server)

    def test_a_server_that_says_nothing_to_a_web_page(self):
        """An address that is no WebDAV collection."""
        with socket.create_server(("127.0.0.1", 0)) as other:
            port = other.getsockname()[1]
            with HtmlServer(other):
                done = sync(self.bench(f"http://localhost:{port}/lab"))
        self.assertEqual(done.returncode, 75)
        self.assertIn("WebDAV", done.stderr)


class HtmlServer:
    """Answers everything with 200 and a page, as a portal before a network does."""

    def __init__(self, listener):
        import threading
        self.listener = listener
        self.ended = False
        threading.Thread(target=self.serve, daemon=True).start()

    def __enter__(self):
        return self

    def __exit__(self, *reason):
        self.ended = True

    def serve(self):
        page = b"<html><body>Please log in</body></html>"
        while not self.ended:
            try:
                asked, _ = self.listener.accept()
            except OSError:
                return
            with asked:
                asked.recv(65536)
                asked.sendall(b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nContent-Length: %d"
                              b"\r\nConnection: close\r\n\r\n%s" % (len(page), page))


class small_disk:
    """The server's folder on a disk of 64 KiB, until grow() is called."""

    def __init__(self, server):
        self.server = server

    def mount(self, words):
        import subprocess
        return subprocess.run(["mount", "-t", "tmpfs", "-o", words, "tmpfs", self.server.root],
                              capture_output=True, check=False).returncode

    def __enter__(self):
        if self.mount("size=64k,mode=0777") != 0:
            raise unittest.SkipTest("file systems cannot be mounted here")
        return lambda: self.mount("remount,size=64m")

    def __exit__(self, *reason):
        import subprocess
        self.server.stop()
        subprocess.run(["umount", self.server.root], check=False)


if __name__ == "__main__":
    unittest.main()

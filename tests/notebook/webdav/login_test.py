#!/usr/bin/env python3
"""Logins and certificates: what a server must prove before it gets anything, and that the password
shows nowhere."""

import os
import pathlib
import signal
import socket
import subprocess
import tempfile
import threading
import time
import unittest

from dav_bench import NESTCUP, Source, check_there, nestcup, rows, sync
from fault_proxy import FaultProxy
from servers import PASSWORD, USER, Server

LOGINS = [("apache", "basic"), ("apache", "digest"), ("nginx", "basic"), ("lighttpd", "basic"),
          ("lighttpd", "digest"), ("rclone", "basic")]


def openssl(*words):
    subprocess.run(["openssl", *map(str, words)], check=True, capture_output=True)


class Authority:
    """Signs certificates, as an institute's own authority does."""

    def __init__(self, folder):
        self.folder = pathlib.Path(folder)
        self.folder.mkdir()
        self.folder.chmod(0o755)
        self.file = self.folder / "authority.pem"
        openssl("req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", 30, "-subj",
                "/CN=Test authority", "-keyout", self.folder / "authority.key", "-out", self.file)

    def certificate(self, name, host, days=30):
        """@return certificate, key; `days` may lie in the past"""
        key, request = self.folder / f"{name}.key", self.folder / f"{name}.csr"
        signed, more = self.folder / f"{name}.pem", self.folder / f"{name}.ext"
        openssl("req", "-newkey", "rsa:2048", "-nodes", "-subj", f"/CN={host}", "-keyout", key,
                "-out", request)
        more.write_text(f"subjectAltName=DNS:{host}\n")
        openssl("x509", "-req", "-in", request, "-CA", self.file, "-CAkey",
                self.folder / "authority.key", "-CAcreateserial", "-days", days, "-extfile", more,
                "-out", signed)
        key.chmod(0o644)  # the servers drop their rights
        return signed, key


class Login(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.keeper = tempfile.TemporaryDirectory()
        cls.home = pathlib.Path(cls.keeper.name).resolve()
        cls.home.chmod(0o755)
        cls.source = Source(cls.home)
        cls.authority = Authority(cls.home / "authority")

    @classmethod
    def tearDownClass(cls):
        cls.keeper.cleanup()

    def folder(self):
        return pathlib.Path(tempfile.mkdtemp(dir=self.home))

    def bench(self, url, *more, password=PASSWORD):
        folder = self.folder()
        lines = more
        if password is not None:
            secret = folder / "secret"
            secret.write_text(password + "\n", encoding="utf-8")
            secret.chmod(0o600)
            lines = (f'user = "{USER}"', 'password_file = "secret"', *more)
        return self.source.bench(folder, url, *lines)

    def check_silent(self, folder, *texts):
        """The password is in no text, nor in any file of the bench but its own."""
        for text in texts:
            self.assertNotIn(PASSWORD, text)
        for path in folder.rglob("*"):
            if path.is_file() and path.name != "secret":
                self.assertNotIn(PASSWORD.encode(), path.read_bytes(), path)

    def test_each_make_lets_the_right_password_in(self):
        for make, login in LOGINS:
            with self.subTest(make=make, login=login), Server(make, login=login) as server:
                folder = self.bench(server.url, f'login = "{login}"')
                done = sync(folder)
                self.assertEqual((done.returncode, done.stderr), (0, ""))
                check_there(folder, server, self.source.last)
                self.check_silent(folder, done.stdout, done.stderr)
                for path in server.root.rglob("*"):
                    if path.is_file():
                        self.assertNotIn(PASSWORD.encode(), path.read_bytes(), path)

    def test_a_wrong_password_is_told_and_not_tried_again_soon(self):
        for make, login in LOGINS:
            with self.subTest(make=make, login=login), Server(make, login=login) as server, \
                    FaultProxy(server.port) as proxy:
                folder = self.bench(proxy.url, f'login = "{login}"', password="falsch wort")
                begun = time.time()
                done = sync(folder)
                self.assertEqual(done.returncode, 75)
                self.assertIn("does not take this login", done.stderr)
                self.assertIn(proxy.url, done.stderr)
                status = nestcup(folder, "sync", "--status").stdout
                self.assertIn("does not take this login", status)
                for text in (done.stderr, status):
                    self.assertNotIn("falsch", text)
                ((next_us,),) = rows(folder, "SELECT max(next_try_us) FROM owed")
                self.assertGreaterEqual(next_us * 1e-6 - begun, 900)
                # With digest the first answer brings what the second request needs (RFC 7616).
                self.assertLessEqual(len(proxy.seen), 2)
                self.assertFalse(any(server.root.iterdir()))
                (folder / "secret").write_text(PASSWORD)
                self.assertEqual(sync(folder).returncode, 0)
                check_there(folder, server, self.source.last)

    def test_the_password_is_no_word_of_the_command(self):
        """Others see the words and the surroundings of a program that runs (proc(5))."""
        with socket.create_server(("127.0.0.1", 0)) as deaf:
            folder = self.bench(f"http://localhost:{deaf.getsockname()[1]}/lab")
            with subprocess.Popen([NESTCUP, "sync", "--bench", folder / "bench.toml"],
                                  stdout=subprocess.PIPE, stderr=subprocess.STDOUT) as process:
                asked, _ = deaf.accept()
                with asked:
                    self.assertIn(b"Authorization: Basic", asked.recv(65536))
                    for name in ("cmdline", "environ"):
                        seen = pathlib.Path(f"/proc/{process.pid}/{name}").read_bytes()
                        self.assertNotIn(PASSWORD.encode(), seen)
                    process.send_signal(signal.SIGTERM)
                    said = process.communicate(timeout=20)[0]
            self.check_silent(folder, said.decode())

    def test_a_proxy_of_the_surroundings_does_not_see_what_stays_here(self):
        with Server("apache", login="basic") as server, \
                socket.create_server(("127.0.0.1", 0)) as spy:
            asked = []

            def look():
                try:
                    asked.append(spy.accept()[0])
                    asked[0].close()
                except OSError:
                    pass

            threading.Thread(target=look, daemon=True).start()
            folder = self.bench(server.url)
            place = f"http://127.0.0.1:{spy.getsockname()[1]}"
            done = sync(folder, env={**os.environ, "http_proxy": place, "all_proxy": place,
                                     "no_proxy": ""})
            self.assertEqual((done.returncode, done.stderr), (0, ""))
            self.assertEqual(asked, [])

    def test_password_files_that_are_no_secret_are_refused(self):
        with Server("apache", login="basic") as server:
            folder = self.bench(server.url)
            for mode, words in ((0o644, "chmod 600"), (0o640, "chmod 600"), (None, "no password")):
                if mode is None:
                    (folder / "secret").unlink()
                else:
                    (folder / "secret").chmod(mode)
                done = sync(folder)
                self.assertEqual(done.returncode, 78)
                self.assertIn(words, done.stderr)
                self.check_silent(folder, done.stderr)
            self.assertFalse(any(server.root.iterdir()))

    def test_a_credential_of_the_service_manager(self):
        with Server("apache", login="digest") as server:
            folder = self.bench(server.url, f'user = "{USER}"', 'login = "digest"',
                                'password_credential = "notes"', password=None)
            self.assertEqual(sync(folder).returncode, 78)
            handed = self.folder()
            (handed / "notes").write_text(PASSWORD)
            done = sync(folder, env={**os.environ, "CREDENTIALS_DIRECTORY": str(handed)})
            self.assertEqual((done.returncode, done.stderr), (0, ""))
            check_there(folder, server, self.source.last)

    def test_a_good_certificate_of_an_own_authority(self):
        good = self.authority.certificate("good", "localhost")
        for make, login in (("apache", "digest"), ("nginx", "basic")):
            with self.subTest(make), Server(make, login=login, tls=good) as server:
                folder = self.bench(server.url, f'ca_file = "{self.authority.file}"',
                                    f'login = "{login}"')
                done = sync(folder)
                self.assertEqual((done.returncode, done.stderr), (0, ""))
                check_there(folder, server, self.source.last)

    def refused(self, certificate, *more):
        """@return what is said of a server with that certificate, which must have got nothing"""
        with Server("apache", login="basic", tls=certificate) as server:
            folder = self.bench(server.url, *more)
            done = sync(folder)
            self.assertEqual(done.returncode, 75)
            self.assertIn("nothing was sent", done.stderr)
            self.assertIn("nothing was sent", nestcup(folder, "sync", "--status").stdout)
            self.assertFalse(any(server.root.iterdir()))
            self.check_silent(folder, done.stderr)
            return done.stderr

    def test_certificates_that_are_not_good(self):
        trust = f'ca_file = "{self.authority.file}"'
        good = self.authority.certificate("known", "localhost")
        old = self.authority.certificate("old", "localhost", days=-1)
        other = self.authority.certificate("other", "notes.example")
        self.assertIn("expired", self.refused(old, trust))
        self.assertIn("localhost", self.refused(other, trust).split("nothing was sent")[1])
        self.refused(good)  # nobody that the system knows has signed it
        stranger = Authority(self.home / "stranger")
        self.refused(good, f'ca_file = "{stranger.file}"')


if __name__ == "__main__":
    unittest.main()

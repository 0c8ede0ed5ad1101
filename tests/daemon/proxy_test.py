#!/usr/bin/env python3
"""The page behind a real nginx with TLS, by the very configuration that daemon/PAGE.md has, asked
with curl and Python's websockets. proxy_test.py PAGE.md"""

import asyncio
import contextlib
import json
import os
import pathlib
import re
import shutil
import signal
import socket
import ssl
import subprocess
import sys
import tempfile
import time
import unittest

import websockets

from rig import StallWatch, free_port, wait_for
from web import PageRig, check_sampling

PAGE = pathlib.Path(sys.argv.pop(1))
NAME = "bench-4.lab.example"
AROUND = """
pid {home}/pid;
error_log {home}/error.log;
daemon off;
worker_processes 1;
{user}
events {{ worker_connections 256; }}
http {{
  access_log off;
  client_body_temp_path {home}/body;
  proxy_temp_path {home}/proxy;
  fastcgi_temp_path {home}/fastcgi;
  uwsgi_temp_path {home}/uwsgi;
  scgi_temp_path {home}/scgi;
  {documented}
}}
"""


def documented_block():
    (block,) = re.findall(r"```nginx\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    return block


class Proxy:
    """nginx with the block of PAGE.md, on a port of its own, before the bench's port."""

    def __init__(self, bench_port):
        self.port = free_port()
        self.home = pathlib.Path(tempfile.mkdtemp(prefix="nestcup-proxy-")).resolve()
        self.home.chmod(0o755)
        self.certificate = self.home / "page.pem"
        subprocess.run(["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
                        "-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME}",
                        "-keyout", self.home / "page.key", "-out", self.certificate],
                       check=True, capture_output=True)
        (self.home / "page.key").chmod(0o600)
        block = documented_block()
        for written, used in (("listen 443", f"listen 127.0.0.1:{self.port}"),
                              ("127.0.0.1:8734", f"127.0.0.1:{bench_port}"),
                              ("/etc/ssl/certs/bench-4.lab.example.pem", str(self.certificate)),
                              ("/etc/ssl/private/bench-4.lab.example.key",
                               str(self.home / "page.key"))):
            assert written in block, written
            block = block.replace(written, used)
        user = "user www-data;" if os.geteuid() == 0 else ""
        (self.home / "settings").write_text(
            AROUND.format(home=self.home, user=user, documented=block), encoding="utf-8")
        if user:
            shutil.chown(self.home, "www-data", "www-data")
        self.process = subprocess.Popen(
            ["/usr/sbin/nginx", "-c", self.home / "settings", "-p", self.home],
            stdin=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True)
        self.wait_open()

    def wait_open(self):
        end = time.monotonic() + 20
        while time.monotonic() < end:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port)):
                return
            assert self.process.poll() is None, (self.home / "error.log").read_text()
            time.sleep(0.02)
        raise AssertionError("nginx does not listen")

    def end(self):
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGTERM)
        self.process.wait(20)
        shutil.rmtree(self.home, ignore_errors=True)

    def trust(self):
        return ssl.create_default_context(cafile=str(self.certificate))


class BehindNginx(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        bench_port = free_port()
        cls.proxy = Proxy(bench_port)
        cls.addClassCleanup(cls.proxy.end)
        cls.origin = f"https://{NAME}:{cls.proxy.port}"
        cls.rig = PageRig(tcp_port=bench_port, page={"names": [f"{NAME}:{cls.proxy.port}"]})
        cls.addClassCleanup(cls.rig.__exit__, None)
        cls.rig.start()
        wait_for(lambda: cls.rig.status()["probes"][0]["readings"] > 4, "readings")
        cls.stalls = StallWatch()
        cls.watcher = cls.rig.token("wall", "viewer")
        cls.worker = cls.rig.token("tablet", "operator")

    def curl(self, target, *words, name=NAME):
        """@return status, fields, body"""
        url = f"https://{name}:{self.proxy.port}{target}"
        done = subprocess.run(
            ["curl", "--silent", "--show-error", "--include", "--max-time", "20", "--path-as-is",
             "--cacert", str(self.proxy.certificate), "--http1.1",
             "--resolve", f"{name}:{self.proxy.port}:127.0.0.1", *words, url],
            capture_output=True, text=True, check=False)
        if done.returncode != 0:
            return None, {}, done.stderr
        head, body = done.stdout.split("\n\n", 1)
        status, *lines = head.splitlines()
        fields = dict(line.split(": ", 1) for line in lines)
        return int(status.split()[1]), fields, body

    def bearer(self, token):
        return ("--header", f"Authorization: Bearer {token}")

    def test_page_and_routes(self):
        status, fields, body = self.curl("/")
        self.assertEqual((status, fields["Content-Type"]), (200, "text/html; charset=utf-8"))
        self.assertIn("<!doctype html>", body.lower())
        self.assertEqual(self.curl("/healthz")[0], 200)
        for target in ("/v1/status", "/%761/status", "/v1/readings"):
            status, _, body = self.curl(target)
            self.assertEqual((status, json.loads(body)["error"]["kind"]), (401, "not-permitted"))
        status, _, body = self.curl("/v1/status", *self.bearer(self.watcher))
        self.assertEqual((status, json.loads(body)["bench"]), (200, "bench"))
        mark = ("--json", "{}")
        self.assertEqual(self.curl("/v1/mark", *mark, *self.bearer(self.watcher))[0], 403)
        self.assertEqual(self.curl("/v1/mark", *mark, *self.bearer(self.worker))[0], 200)

    def test_the_address_that_signs_in(self):
        made = subprocess.run([os.environ["NESTCUP"], "token", "add", "door", "--json", "--bench",
                               self.rig.bench_path], check=True, capture_output=True, text=True)
        answer = json.loads(made.stdout)
        self.assertEqual(answer["page"], f"{self.origin}/#token={answer['token']}")

    def test_signing_in(self):
        status, fields, body = self.curl("/v1/login", "--json", json.dumps({"token": self.watcher}),
                                         "--header", f"Origin: {self.origin}")
        self.assertEqual((status, json.loads(body)["access"]), (200, "viewer"))
        cookie, *flags = fields["Set-Cookie"].split("; ")
        self.assertLessEqual({"secure", "httponly", "samesite=strict"},
                             {flag.lower() for flag in flags})
        self.assertEqual(self.curl("/v1/status", "--cookie", cookie)[0], 200)
        self.assertEqual(self.curl("/v1/status", "--cookie", cookie + "x")[0], 401)

    def test_strangers(self):
        for name in ("evil.example", "127.0.0.1"):
            status, _, text = self.curl("/", name=name)
            self.assertIsNone(status, name)
            self.assertRegex(text, "handshake|unrecognized|alert", name)
        # The right name for TLS, another one for HTTP.
        for host in ("evil.example", f"127.0.0.1:{self.rig.port}", "localhost"):
            status, _, _ = self.curl("/v1/status", "--header", f"Host: {host}",
                                     *self.bearer(self.worker))
            self.assertEqual(status, 421, host)
        for origin in ("https://evil.example", "null", f"https://{NAME}"):
            status, _, _ = self.curl("/v1/status", "--header", f"Origin: {origin}",
                                     *self.bearer(self.worker))
            self.assertEqual(status, 403, origin)

    def test_whom_a_proxy_names_is_not_believed(self):
        for field in ("X-Forwarded-For: 127.0.0.1", "X-Real-IP: 127.0.0.1",
                      "Forwarded: for=127.0.0.1;host=localhost", "X-Forwarded-User: tablet",
                      f"X-Forwarded-Host: 127.0.0.1:{self.rig.port}"):
            self.assertEqual(self.curl("/v1/status", "--header", field)[0], 401, field)
            answer = self.rig.get("/v1/status", field)  # past the proxy, on this machine
            self.assertEqual(answer.status, 401, field)

    async def watch(self, token, origin):
        """The first messages of the stream."""
        head = {"Authorization": f"Bearer {token}"} if token else {}
        address = f"wss://{NAME}:{self.proxy.port}/v1/stream"
        async with websockets.connect(address, host="127.0.0.1", port=self.proxy.port,
                                      ssl=self.proxy.trust(), server_hostname=NAME, origin=origin,
                                      extra_headers=head) as stream:
            return [json.loads(await asyncio.wait_for(stream.recv(), 20)) for _ in range(20)]

    def test_the_stream(self):
        seen = asyncio.run(self.watch(self.watcher, self.origin))
        self.assertLessEqual({"readings", "status"}, {message["kind"] for message in seen})
        for token, origin, code in ((None, self.origin, 401), ("wrong", self.origin, 401),
                                    (self.watcher, "https://evil.example", 403)):
            with self.assertRaises(websockets.InvalidStatusCode) as refused:
                asyncio.run(self.watch(token, origin))
            self.assertEqual(refused.exception.status_code, code)

    @classmethod
    def tearDownClass(cls):
        cls.stalls.ended.set()
        assert cls.rig.daemon.end()[0] == 0, cls.rig.daemon.log()
        check_sampling(unittest.TestCase(), cls.rig, cls.stalls)


if __name__ == "__main__":
    unittest.main()

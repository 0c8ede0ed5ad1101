#!/usr/bin/env python3
"""Hostile callers over TCP, on the real daemon and a simulated bench: each gets a clear answer
where one is due, and the bench goes on reading as if nobody had come."""

import threading
import unittest

from hostile import HostileTest

ATTACKERS_PORT = 8734


class Requests(HostileTest):
    def test_what_is_no_request(self):
        host = f"Host: {self.rig.host}\r\n".encode()
        begin = b"GET / HTTP/1.1\r\n" + host
        post = b"POST /v1/mark HTTP/1.1\r\nContent-Type: application/json\r\n" + host
        self.check_bytes([
            (b"nonsense\r\n\r\n", 400),
            (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", 400),  # TLS
            (b"\0" * 100 + b"\r\n\r\n", 400),
            (b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n", 400),
            (b"GET / HTTP/9.9\r\n" + host + b"\r\n", 400),
            (b"GET /\r\n\r\n", 400),
            (b"GET  / HTTP/1.1\r\n" + host + b"\r\n", 400),
            (b"G\xc3\xa4T / HTTP/1.1\r\n" + host + b"\r\n", 400),
            (begin + b"no colon\r\n\r\n", 400),
            (begin + b"A : b\r\n\r\n", 400),
            (begin + b"X: a\rb\r\n\r\n", 400),
            (begin + b"X: a\0b\r\n\r\n", 400),
            (begin + b"Content-Length: x\r\n\r\n", 400),
            (begin + b"Content-Length: -1\r\n\r\n", 400),
            (begin + b"Content-Length: 99999999999999999999\r\n\r\n", 400),
            (post + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}", 400),
            (post + b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n{}", 400),
            (post + b"Transfer-Encoding: chunked\r\n\r\nZZ\r\n{}\r\n0\r\n\r\n", 400),
            (post + b"Transfer-Encoding: chunked\r\n\r\n-2\r\n{}\r\n0\r\n\r\n", 400),
            (post + b"Transfer-Encoding: gzip\r\n\r\n", 501),
            (post + b"Transfer-Encoding: gzip, chunked\r\n\r\n0\r\n\r\n", 501),
            (post + b"Transfer-Encoding: chunked\r\nTransfer-Encoding: x\r\n\r\n0\r\n\r\n", 400),
        ])

    def test_too_much(self):
        host = f"Host: {self.rig.host}\r\n".encode()
        begin = b"GET / HTTP/1.1\r\n" + host
        post = (b"POST /v1/mark HTTP/1.1\r\nContent-Type: application/json\r\n" + host +
                self.worker.encode() + b"\r\n")
        chunked = post + b"Transfer-Encoding: chunked\r\n\r\n"
        self.check_bytes([
            (b"GET /" + b"a" * 9000 + b" HTTP/1.1\r\n" + host + b"\r\n", 431),
            (begin + b"X: " + b"a" * 300_000, 431),
            (begin + b"a: b\r\n" * 3000 + b"\r\n", 431),
            (begin + b"a: b\r\n" * 500_000, 431),  # it never ends
            (post + b"Content-Length: 10000000000\r\n\r\n{", 413),
            (post + b"Content-Length: 65537\r\n\r\n" + b"x" * 65537, 413),
            (chunked + b"ffff\r\n" + b"x" * 0xffff + b"\r\nff\r\n" + b"x" * 0xff, 413),
            (chunked + b"7fffffffffffffff\r\n" + b"x" * 300_000, 413),
            (chunked + b"2;" + b"x" * 300_000, 431),
            (chunked + b"2\r\n{}\r\n0\r\n" + b"a: b\r\n" * 100_000, 431),
        ])

    def test_wrong_methods(self):
        for method, target, allowed in (
                ("DELETE", "/v1/status", "GET, HEAD"), ("PUT", "/", "GET, HEAD"),
                ("BREW", "/v1/runs/1", "GET, HEAD"), ("OPTIONS", "/v1/status", "GET, HEAD"),
                ("TRACE", "/v1/status", "GET, HEAD"), ("GET", "/v1/mark", "POST"),
                ("HEAD", "/v1/mark", "POST"), ("post", "/v1/mark", "POST")):
            answer = self.rig.say(self.rig.request(method, target, self.worker))
            self.assertEqual((answer.status, answer.fields.get("allow")), (405, allowed), method)
            if method != "HEAD":
                self.check_error(answer, 405, method, "usage")

    def test_unknown_things(self):
        for target in ("/v1/runs/7", "/v1/runs/0", "/v1/runs/-1", "/v1/runs/1e3",
                       "/v1/runs/99999999999999999999999", "/v1/runs/'%20OR%201=1--",
                       "/v1/runs/01a21274-8d60-736c-9a30-8068634ed98d", "/v1/teapot", "/v1/",
                       "/v1", "/index.html", "/bench.toml", "/bench.db", "/v1/runs/%25s%25n"):
            answer = self.rig.get(target, self.worker)
            # An empty segment is no path at all.
            self.check_error(answer, 400 if target == "/v1/" else 404, target)
        for target, body, status in (
                ("/v1/runs/7/strike", b'{"reason": "x"}', 404), ("/v1/runs/7/strike", b"{", 400),
                ("/v1/mark", b"[1]", 400), ("/v1/mark", b'{"seconds_ago": 1e999}', 400),
                ("/v1/mark", b'{"seconds_ago": -1}', 400), ("/v1/mark", b"\xff\xfe{}", 400),
                ("/v1/mark", b"[" * 60_000, 400), ("/v1/mark", b"{}\0", 400),
                ("/v1/mark", b'{"seconds_ago": "' + b"\xc0\xaf" * 99 + b'"}', 400),
                ("/v1/trial", b'{"trial": {"a": 1}}', 400)):
            answer = self.rig.say(self.rig.request("POST", target, self.worker, body=body))
            self.check_error(answer, status, (target, body[:40]))
        for query in ("from_us=x", "from_us=-1", "to_us=-9223372036854775808", "points=0",
                      "points=20001", "from_us=1&from_us=2", "from_us=9223372036854775808", "=1",
                      "a=%zz", "from_us=5&to_us=4"):
            self.check_error(self.rig.get(f"/v1/readings?{query}"), 400, query, "usage")
        answer = self.rig.get("/v1/readings?from_us=9223372036854775807&to_us=9223372036854775807")
        self.assertEqual(answer.status, 200)
        self.assertEqual(answer.json()["probes"][0]["time_us"], [])

    def test_tricks_with_paths(self):
        for target, status in (
                ("/../bench.toml", 400), ("/v1/../../etc/passwd", 400), ("/%2e%2e/bench.toml", 400),
                ("/..%2fbench.toml", 400), ("/v1/%00", 400), ("/app.js%00.html", 400),
                ("//v1/status", 400), ("/v1//status", 400), ("/v1/status/", 400), ("/%", 400),
                ("/%4", 400), ("/%zz", 400), ("/..%5cbench.toml", 404), ("/\\..\\bench.toml", 404),
                ("/v1/status%2f", 400), ("/%c0%ae%c0%ae/x", 400), ("/%e4", 400), ("/./app.js", 400),
                ("http://other.example/v1/status", 400), ("*", 400), ("v1/status", 400),
                ("/v1/status#x", 400), ("/v1/Status", 404), ("/App.js", 404)):
            answer = self.rig.get(target)
            self.check_error(answer, status, target, "usage" if status == 400 else "no-input")
            self.assertNotIn(b"[bench]", answer.body)

    def test_pipelined_requests(self):
        asked = [f"/v1/runs/{number}" for number in range(300)]
        data = b"".join(self.rig.request("GET", target) for target in asked)
        with self.rig.line() as line:
            threading.Thread(target=line.send, args=(data + b"nonsense\r\n\r\n" + data,)).start()
            for target in asked:
                answer = line.answer()
                self.check_error(answer, 404, target)
                self.assertIn(target.rsplit("/", 1)[1], answer.json()["error"]["text"])
            self.check_error(line.answer(), 400, "nonsense")
            self.assertIsNone(line.answer())


class Strangers(HostileTest):
    def test_tokens(self):
        status, mark = self.rig.request("GET", "/v1/status"), "/v1/mark"
        self.assertEqual(self.rig.say(status).status, 200)
        for field, code in (("", 403), ("Authorization: Bearer ", 401), (self.watcher, 403),
                            ("Authorization: Bearer wrong", 401), (self.worker + "x", 401),
                            (self.worker[:-1], 401), ("Authorization: Basic YTpi", 401),
                            ("Authorization: " + "Bearer " * 500, 401),
                            (f"Cookie: nestcup_{self.rig.port}=wrong", 403),
                            (f"Cookie: {'a=b; ' * 1000}", 403)):
            request = self.rig.request("POST", mark, *filter(None, [field]), body=b"{}")
            self.check_error(self.rig.say(request), code, field, "not-permitted")
        for body in (b'{"token": "wrong"}', b'{"token": "' + b"a" * 60_000 + b'"}'):
            answer = self.rig.say(self.rig.request("POST", "/v1/login", body=body))
            self.check_error(answer, 401, body[:30], "not-permitted")
            self.assertNotIn("set-cookie", answer.fields)
        for body in (b'{"token": 7}', b"{}", b'{"token": null}'):
            answer = self.rig.say(self.rig.request("POST", "/v1/login", body=body))
            self.check_error(answer, 400, body, "usage")

    def test_pages_of_strangers(self):
        rebound = f"Host: evil.example:{self.rig.port}"
        handshake = ("Connection: Upgrade", "Upgrade: websocket", "Sec-WebSocket-Version: 13",
                     "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==")
        for target in ("/", "/v1/status", "/app.js", "/healthz", "/v1/stream"):
            for lines, code in (
                    ((rebound,), 421), ((rebound, self.worker), 421), (("Host: ",), 421),
                    (("Host: 127.0.0.1",), 421), (("Host: localhost.evil.example",), 421),
                    ((rebound, f"X-Forwarded-Host: {self.rig.host}"), 421),
                    (("Origin: http://evil.example", self.worker), 403),
                    (("Origin: null", self.worker), 403),
                    ((f"Origin: http://127.0.0.1:{ATTACKERS_PORT}", self.worker), 403)):
                for more in ((), handshake):
                    answer = self.rig.get(target, *lines, *more)
                    self.check_error(answer, code, (target, lines), "not-permitted")
        for target, code in (("/", 200), ("/v1/status", 403), ("/app.js", 403), ("/v1/runs", 403)):
            answer = self.rig.get(target, "Sec-Fetch-Site: cross-site", self.worker)
            self.assertEqual(answer.status, code, target)
        answer = self.rig.say(self.rig.request("POST", "/v1/mark", self.worker,
                                               "Origin: http://evil.example", body=b"{}"))
        self.check_error(answer, 403, "a mark by a stranger's page")
        marks = self.rig.look().execute("SELECT count(*) FROM event WHERE kind = 'mark'")
        self.assertEqual(marks.fetchone(), (0,))

    def test_answers_keep_browsers_from_mischief(self):
        for target in ("/", "/v1/status", "/v1/teapot"):
            fields = self.rig.get(target).fields
            self.assertEqual(fields["x-content-type-options"], "nosniff")
            self.assertIn("frame-ancestors 'none'", fields["content-security-policy"])
            self.assertEqual(fields["cross-origin-resource-policy"], "same-origin")
            self.assertFalse([name for name in fields if name.startswith("access-control")])


if __name__ == "__main__":
    unittest.main()

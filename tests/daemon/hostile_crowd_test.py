#!/usr/bin/env python3
"""Hostile callers who come in numbers, are slow, or speak WebSocket badly, on the real daemon and a
simulated bench that goes on reading as if nobody had come."""

import re
import socket
import struct
import threading
import time
import unittest

from frames import BINARY, CLOSE, HANDSHAKE, PING, TEXT, close_code, frame, next_frame, watch
from hostile import HostileTest
from rig import UnixConnection, wait_for

MOST_AT_ONCE = 64


class Streams(HostileTest):
    def test_bad_handshakes(self):
        key, version, *rest = HANDSHAKE[3], HANDSHAKE[2], *HANDSHAKE[:2]
        for lines, status in (((version, *rest), 400), ((key, *rest), 426),
                              ((key, "Sec-WebSocket-Version: 8", *rest), 426),
                              (("Sec-WebSocket-Key: x", version, *rest), 400),
                              (("Sec-WebSocket-Key: " + "A" * 4000, version, *rest), 400),
                              ((key, key, version, *rest), 400), ((key, version), 426),
                              ((key, version, "Upgrade: h2c", "Connection: Upgrade"), 426)):
            answer = self.rig.get("/v1/stream", *lines)
            self.check_error(answer, status, lines, "usage")
        for target, status in (("/v1/status", 404), ("/v1/streams", 404), ("/%00", 400)):
            self.check_error(self.rig.get(target, *HANDSHAKE), status, target)
        early = self.rig.request("GET", "/v1/stream", *HANDSHAKE) + frame(TEXT, b"early")
        self.check_error(self.rig.say(early), 400, "a frame before the answer")

    def test_bad_frames(self):
        for data, codes in (
                (frame(TEXT, b"hello", masked=False), (1002,)),
                (frame(PING, b"hello", masked=False), (1002,)),
                (frame(TEXT, b"hello", reserved=4), (1002,)),
                (frame(PING, b"hello", reserved=1), (1002,)),
                (frame(3, b"hello"), (1002,)), (frame(11, b"hello"), (1002,)),
                (frame(0, b"goes on"), (1002,)), (frame(PING, b"a" * 126), (1002,)),
                (frame(PING, b"a", fin=False), (1002,)), (frame(CLOSE, b"a"), (1002,)),
                (frame(CLOSE, struct.pack(">H", 1005)), (1002,)),
                (frame(CLOSE, struct.pack(">H", 1000) + b"\xff"), (1007, 1002)),
                (frame(TEXT, b"a" * 1025), (1009,)),
                (frame(BINARY, b"", length=1 << 40), (1009,)),
                (frame(BINARY, b"", length=(1 << 64) - 1), (1009, 1002)),
                (frame(TEXT, b"a" * 600, fin=False) + frame(0, b"a" * 600), (1009,)),
                (frame(TEXT, b"a", fin=False) + frame(TEXT, b"a"), (1002,)),
                (frame(TEXT, b"\xc0\xaf"), (1007,)), (frame(TEXT, b"\xed\xa0\x80"), (1007,)),
                (frame(TEXT, b"\xf0\x9f", fin=False) + frame(0, b"\xff"), (1007,)),
                (frame(TEXT, b"hello"), (1008,)), (frame(BINARY, b""), (1008,))):
            with watch(self.rig) as line:
                line.send(data)
                self.assertIn(close_code(line), codes, data[:20])

    def test_many_small_frames(self):
        """A message in ten thousand pieces, and more pings than anybody needs."""
        with watch(self.rig) as line:
            line.send(frame(TEXT, b"", fin=False) + frame(0, b"", fin=False) * 10_000 + frame(0))
            self.assertEqual(close_code(line), 1008)
        with watch(self.rig, receive_bytes=4096) as line:
            pings = frame(PING, b"x" * 100) * 1000
            end = time.monotonic() + 2
            line.socket.settimeout(0.5)
            while time.monotonic() < end and line.send(pings):
                pass  # it stops taking them once nobody takes the answers

    def test_a_watcher_who_stops_reading(self):
        stalled = [watch(self.rig, receive_bytes=2048) for _ in range(20)]
        begun = self.rig.status()["probes"][0]["readings"]
        wait_for(lambda: self.rig.status()["probes"][0]["readings"] > begun + 20, "readings")
        for line in stalled:
            line.close()

    def test_a_token_that_is_taken_back_ends_its_streams(self):
        token = f"Authorization: Bearer {self.rig.token('lost', 'viewer')}"
        with watch(self.rig, token) as lost, watch(self.rig, self.watcher) as kept:
            self.assertEqual(next_frame(lost)[0], TEXT)
            self.rig.remove_token("lost")
            self.assertEqual(close_code(lost), 1008)
            for _ in range(20):
                self.assertEqual(next_frame(kept)[0], TEXT)


class RaisedLimit(HostileTest):
    page = {"connections": 200}

    def test_more_streams_where_the_bench_file_says_so(self):
        lines = [watch(self.rig) for _ in range(200)]
        self.check_error(self.rig.get("/v1/status"), 503, "one too many", "try-later")
        for _ in range(10):
            for line in lines:
                self.assertEqual(next_frame(line)[0], TEXT)
        for line in lines:
            line.close()


class Crowds(HostileTest):
    def check_quick(self, what):
        begun = time.monotonic()
        answer = self.rig.get("/v1/status")
        self.assertEqual(answer.status, 200, what)
        self.assertLess(time.monotonic() - begun, 2.0, what)

    def test_a_thousand_idle_sockets(self):
        """Who has said nothing for a second makes room; the others are told to come later."""
        self.check_quick("before")
        begun = time.monotonic()
        lines = [self.rig.line() for _ in range(1000)]
        with self.rig.line() as late:
            late.send(self.rig.request("GET", "/v1/status"))
            answer = late.answer()
        if answer.status != 200:
            self.check_error(answer, 503, "too many", "try-later")
        let_in = MOST_AT_ONCE * int(time.monotonic() - begun)  # where the machine is that slow
        self.assertEqual(self.rig.ask("GET", "/v1/status")[0], 200)  # over the control socket
        time.sleep(1.2)
        self.check_quick("beside sockets that say nothing")
        answers = [line.answer() for line in lines[MOST_AT_ONCE:]]
        told = [answer for answer in answers if answer is not None]
        self.assertGreaterEqual(len(told), len(answers) - let_in)
        for answer in told:
            self.check_error(answer, 503, "too many", "try-later")
        for line in lines:
            line.close()

    def test_as_many_streams_as_connections(self):
        lines = [watch(self.rig) for _ in range(MOST_AT_ONCE)]
        self.check_error(self.rig.get("/v1/status"), 503, "one too many", "try-later")
        for line in lines[:2]:
            line.close()
        wait_for(lambda: self.rig.get("/v1/status").status == 200, "a free place")
        for line in lines[2:]:
            self.assertEqual(next_frame(line)[0], TEXT)
            line.close()

    def drip(self, data, found, name):
        """Sends byte by byte. @return how long that went on, in `found`"""
        begun = time.monotonic()
        with self.rig.line() as line:
            for at in range(10_000):
                if not line.send(data[at % len(data):at % len(data) + 1]):
                    break
                time.sleep(0.1)
        found[name] = time.monotonic() - begun

    def page_connections(self):
        connection = UnixConnection(self.rig.socket_path)
        try:
            connection.request("GET", "/metrics")
            text = connection.getresponse().read().decode("utf-8")
        finally:
            connection.close()
        return int(re.search(r'^nestcup_connections\{server="page"\} (\d+)$', text, re.M)[1])

    def test_slow_callers(self):
        """The header has 5 s, the body 15 s, and who does not take his answer as long."""
        post = self.rig.request("POST", "/v1/mark", self.worker, "Content-Type: application/json",
                                "Content-Length: 60000")
        slow_reader = self.rig.line(receive_bytes=2048)
        slow_reader.send(self.rig.request("GET", "/dygraph.min.js") * 500)
        slow_body = self.rig.line()
        slow_body.send(post + b"{")
        begun = time.monotonic()
        found = {}
        drips = [threading.Thread(target=self.drip, args=(b"GET / HTTP/1.1\r\n", found, "line")),
                 threading.Thread(target=self.drip, args=(b"a: b\r\n", found, "fields"))]
        for thread in drips:
            thread.start()
        while any(thread.is_alive() for thread in drips):
            self.check_quick("beside slow callers")
            time.sleep(0.2)
        for name, took_s in found.items():
            self.assertLess(took_s, 8, name)
        self.assertTrue(slow_body.has_ended())
        self.assertLess(time.monotonic() - begun, 20)
        slow_body.close()
        # The reader himself learns that he is given up only by reading on.
        wait_for(lambda: self.page_connections() == 0, "the end of who takes nothing", 20)
        slow_reader.socket.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 20)
        whole = 0
        while slow_reader.answer() is not None:
            whole += 1
        self.assertLess(whole, 500)
        slow_reader.close()

    def test_callers_who_leave(self):
        for number in range(300):
            with self.rig.line() as line:
                line.send(self.rig.request("GET", ("/dygraph.min.js", "/v1/readings", "/v1/results",
                                                   "/v1/report", "/v1/stream")[number % 5]))
        self.check_quick("after them")


if __name__ == "__main__":
    unittest.main()

#!/usr/bin/env python3
"""The stream of readings and events (WebSocket), looked at with Python's websockets, which is of
another make: nothing is lost or doubled, whatever the watcher does, and the bench goes on."""

import asyncio
import json
import socket
import sqlite3
import unittest

import websockets

from rig import Rig, wait_for

TIMES = "SELECT time_us, temperature_degC FROM reading ORDER BY time_us"


class Stream:
    """One watcher over the control socket."""

    def __init__(self, rig, path="/v1/stream", receive_bytes=None, **how):
        self.rig = rig
        self.path = path
        self.receive_bytes = receive_bytes
        self.how = how

    async def __aenter__(self):
        peer = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        if self.receive_bytes:
            peer.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, self.receive_bytes)
        peer.connect(self.rig.socket_path)
        self.line = await websockets.connect(f"ws://localhost{self.path}", sock=peer, **self.how)
        return self

    async def __aexit__(self, *_):
        await self.line.close()

    async def next(self):
        return json.loads(await asyncio.wait_for(self.line.recv(), 30))

    async def until(self, is_wanted):
        """Messages up to the first that is wanted."""
        found = []
        while not found or not is_wanted(found[-1]):
            found.append(await self.next())
        return found


def readings_of(messages):
    """Of the only probe: (time_us, degC) in the order in which they came."""
    found = []
    for message in messages:
        if message["kind"] != "readings":
            continue
        for probe in message["probes"]:
            assert probe["probe"] == 0
            found += zip(probe["time_us"], probe["temperature_degC"])
    return found


def stored(rig):
    with sqlite3.connect(rig.store_path) as store:
        return store.execute(TIMES).fetchall()


def count_of(messages, kind):
    return sum(message["kind"] == kind for message in messages)


class StreamTest(unittest.TestCase):
    def setUp(self):
        self.rig = Rig("quiet.toml")
        self.addCleanup(self.rig.__exit__, None)
        self.rig.start()
        wait_for(lambda: self.rig.status()["probes"][0]["readings"] > 20, "readings")

    def run_with(self, work, **how):
        async def running():
            async with Stream(self.rig, **how) as stream:
                return await work(stream)
        return asyncio.run(running())

    def test_readings_come_once_and_join_those_that_were_stored_before(self):
        async def watch(stream):
            first = await stream.next()
            self.assertEqual(first["kind"], "status")
            self.assertEqual(first["status"]["bench"], "bench")
            seen = await stream.until(lambda one: one["kind"] == "readings")
            code, before = await asyncio.to_thread(self.rig.ask, "GET", "/v1/readings")
            self.assertEqual(code, 200)
            for _ in range(200):
                seen.append(await stream.next())
            return before, seen

        before, seen = self.run_with(watch)
        (cup,) = before["probes"]
        self.assertEqual((cup["name"], cup["role"], before["all"]), ("cup", "cup", True))
        past = list(zip(cup["time_us"], cup["temperature_degC"]))
        live = readings_of(seen)
        self.assertEqual(live, sorted(set(live)), "doubled, or out of order")
        self.assertLessEqual(live[0][0], past[-1][0], "a hole between past and stream")
        known = dict(past) | dict(live)
        wait_for(lambda: stored(self.rig)[-1][0] >= live[-1][0], "the last reading stored")
        expected = dict(one for one in stored(self.rig) if past[0][0] <= one[0] <= live[-1][0])
        self.assertEqual(known, expected)
        self.assertFalse(any(one["gap"] for one in seen if one["kind"] == "readings"))
        self.assertGreater(count_of(seen, "status"), 0)

    def test_events_are_told(self):
        async def watch(stream):
            await stream.next()
            code, _ = await asyncio.to_thread(self.rig.ask, "POST", "/v1/mark", {})
            self.assertEqual(code, 200)
            return (await stream.until(lambda one: one["kind"] == "event"))[-1]

        event = self.run_with(watch)
        self.assertEqual(event["event"], "mark")
        self.assertEqual(event["detail"]["how"], "mark")
        with sqlite3.connect(self.rig.store_path) as store:
            wait_for(lambda: store.execute("SELECT time_us FROM event WHERE kind = 'mark'")
                     .fetchall() == [(event["time_us"],)], "the event in the store")

    def test_who_is_slow_gets_the_newest_and_is_told_of_the_gap(self):
        async def watch(stream):
            await stream.next()
            begun = self.rig.status()["probes"][0]["readings"]
            await asyncio.to_thread(
                wait_for, lambda: self.rig.status()["probes"][0]["readings"] > begun + 600,
                "many readings")
            return await stream.until(lambda one: one["kind"] == "readings" and one["gap"])

        # It reads nothing meanwhile: neither its own buffer nor the kernel's takes much.
        seen = self.run_with(watch, receive_bytes=2048, max_queue=1, read_limit=1024)
        times = [time for time, _ in readings_of(seen)]
        self.assertEqual(times, sorted(set(times)))
        last_before, newest = times[-2:]
        code, between = self.rig.ask(
            "GET", f"/v1/readings?from_us={last_before}&to_us={newest}")
        self.assertEqual(code, 200)
        self.assertGreater(len(between["probes"][0]["time_us"]), 10, "no gap was filled")
        status = self.rig.status()
        self.assertEqual((status["well"], status["store"]["lost_readings"]), (True, 0))

    def test_who_talks_is_sent_away(self):
        async def watch(stream):
            await stream.line.send("hello")
            with self.assertRaises(websockets.ConnectionClosed) as closed:
                while True:
                    await stream.next()
            return closed.exception.rcvd.code

        self.assertEqual(self.run_with(watch), 1008)

    def test_other_paths_and_plain_requests_are_told_so(self):
        async def watch(path):
            async with Stream(self.rig, path):
                pass

        for path, code in (("/v1/status", 404), ("/v1/streams", 404), ("/v1/../etc", 400)):
            with self.assertRaises(websockets.InvalidStatusCode) as refused:
                asyncio.run(watch(path))
            self.assertEqual(refused.exception.status_code, code, path)
        self.assertEqual(self.rig.ask("GET", "/v1/stream")[0], 426)

    def test_the_daemon_ends_in_spite_of_watchers(self):
        async def watch(stream):
            await stream.next()
            code, took_s = await asyncio.to_thread(self.rig.daemon.end)
            with self.assertRaises(websockets.ConnectionClosed):
                while True:
                    await stream.next()
            return code

        self.assertEqual(self.run_with(watch), 0)


if __name__ == "__main__":
    unittest.main()

"""What tests of hostile callers have in common: one bench for all of a class, and what must hold of
it whatever was done to it."""

import unittest

from boards import resident_MiB
from rig import StallWatch, wait_for
from web import PageRig, check_sampling

# Buffers of all connections at their fullest, and what the allocator keeps of them.
MOST_GROWTH_MIB = 24


class HostileTest(unittest.TestCase):
    """One bench for all tests of a class; at its end no reading is missing or late."""

    page = None  # keys of [page]

    @classmethod
    def setUpClass(cls):
        cls.rig = PageRig(page=cls.page)
        cls.addClassCleanup(cls.rig.__exit__, None)
        cls.rig.start()
        cls.watcher = f"Authorization: Bearer {cls.rig.token('wall', 'viewer')}"
        cls.worker = f"Authorization: Bearer {cls.rig.token('tablet', 'operator')}"
        wait_for(lambda: cls.rig.status()["probes"][0]["readings"] > 4, "readings")
        for _ in range(20):
            assert cls.rig.get("/v1/status").status == 200
        cls.before_MiB = resident_MiB(cls.rig.daemon.process.pid)
        cls.stalls = StallWatch()

    @classmethod
    def tearDownClass(cls):
        enough = cls.rig.status()["probes"][0]["readings"] + 8
        wait_for(lambda: cls.rig.status()["probes"][0]["readings"] > enough, "readings afterwards")
        cls.stalls.ended.set()
        code, _ = cls.rig.daemon.end()
        assert code == 0, cls.rig.daemon.log()
        check_sampling(unittest.TestCase(), cls.rig, cls.stalls)

    def tearDown(self):
        status = self.rig.status()
        self.assertTrue(status["well"], status["problems"])
        self.assertEqual(status["store"]["lost_readings"], 0)
        grown_MiB = resident_MiB(self.rig.daemon.process.pid) - self.before_MiB
        self.assertLess(grown_MiB, MOST_GROWTH_MIB)

    def check_error(self, answer, status, what, kind=None):
        self.assertIsNotNone(answer, what)
        self.assertEqual(answer.status, status, (what, answer.body[:200]))
        self.assertEqual(answer.fields["content-type"], "application/json", what)
        error = answer.json()["error"]
        self.assertGreater(len(error["text"]), 10, what)
        if kind:
            self.assertEqual(error["kind"], kind, what)

    def check_bytes(self, rows):
        for data, status in rows:
            answer = self.rig.say(data)
            self.check_error(answer, status, data[:120])
            self.assertEqual(answer.fields["connection"], "close", data[:120])

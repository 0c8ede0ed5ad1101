#!/usr/bin/env python3
"""A bench under attack: a random mix of all that hostile callers do, and what it costs.

hostile_hour_test.py [SECONDS [SEED]]: 5 s and a fixed seed where nothing is said; tools/campaign
has the hour. The control socket must answer all the time, no reading may be missing, memory and
open files must stay where they were; how late readings were is told."""

import collections
import os
import pathlib
import sys
import threading
import time
import unittest

import attacks
from boards import resident_MiB
from rig import StallWatch, wait_for
from web import PageRig, check_sampling

SECONDS = float(sys.argv.pop(1)) if len(sys.argv) > 1 else 5.0
SEED = int(sys.argv.pop(1)) if len(sys.argv) > 1 else 20
ATTACKERS = 12
TELL_S = 60.0
MOST_GROWTH_MIB = 32
MOST_ANSWER_S = 5.0
# SQLite keeps one or two of the readers' files open until the writer lets go of its lock.
KEPT_FILES = 2


def open_files(pid):
    return len(os.listdir(f"/proc/{pid}/fd"))


class Hour(unittest.TestCase):
    def look_on(self, rig, pid, ended):
        """Asks over the control socket twice a second. @return the longest wait, the most memory
        and the most open files"""
        begun, told = time.monotonic(), 0.0
        longest_s, most_MiB, most_files = 0.0, 0.0, 0
        while not ended.wait(0.5):
            asked = time.monotonic()
            status = rig.status()
            longest_s = max(longest_s, time.monotonic() - asked)
            self.assertTrue(status["well"], status["problems"])
            self.assertEqual(status["store"]["lost_readings"], 0)
            now_MiB, files = resident_MiB(pid), open_files(pid)
            most_MiB, most_files = max(most_MiB, now_MiB), max(most_files, files)
            if time.monotonic() - begun >= told:
                print(f"{told / 60:4.0f} min  {now_MiB:6.1f} MiB  {files:4d} files  "
                      f"{status['probes'][0]['readings']:7d} readings", flush=True)
                told += TELL_S
        return longest_s, most_MiB, most_files

    def test_under_attack(self):
        attacks.LONGEST_WAIT_S = min(attacks.LONGEST_WAIT_S, SECONDS / 4)
        print(f"{SECONDS:.0f} s, seed {SEED}, {ATTACKERS} attackers")
        with PageRig(page={"connections": 128}) as rig:
            rig.known_token = rig.token("wall", "viewer")
            rig.start()
            wait_for(lambda: rig.status()["probes"][0]["readings"] > 4, "readings")
            for _ in range(50):
                rig.get("/v1/status")
            pid = rig.daemon.process.pid
            before_MiB, before_files = resident_MiB(pid), open_files(pid)
            stalls = StallWatch()
            answers, ended = collections.Counter(), threading.Event()
            guard = threading.Lock()

            def note(what):
                with guard:
                    answers[what] += 1

            threads = [
                threading.Thread(target=attacks.attack, args=(rig, SEED + number, note, ended))
                for number in range(ATTACKERS)]
            timer = threading.Timer(SECONDS, ended.set)
            for thread in (*threads, timer):
                thread.start()
            try:
                longest_s, most_MiB, most_files = self.look_on(rig, pid, ended)
            finally:
                ended.set()
                timer.cancel()
                for thread in threads:
                    thread.join()
            wait_for(lambda: open_files(pid) <= before_files + KEPT_FILES, "connections closed")
            after_MiB = resident_MiB(pid)
            stalls.ended.set()
            self.assertEqual(rig.daemon.end()[0], 0, rig.daemon.log())
            print(f"answers: {dict(sorted(answers.items(), key=str))}")
            print(f"resident {before_MiB:.1f} MiB before, {most_MiB:.1f} at most, {after_MiB:.1f} "
                  f"after; {before_files} files before, {most_files} at most; the "
                  f"control socket answered within {longest_s * 1e3:.0f} ms")
            check_sampling(self, rig, stalls, int(3000 + SECONDS * rig.speed * 1.2))
            self.assertLess(most_MiB - before_MiB, MOST_GROWTH_MIB)
            self.assertLess(longest_s, MOST_ANSWER_S)
            self.assertGreater(sum(answers.values()), 50)
            self.assertFalse({500, 502} & set(answers), rig.daemon.log())
            log = pathlib.Path(rig.daemon.log_path).read_text(encoding="utf-8")
            self.assertLess(len(log.splitlines()), 40, log[-2000:])


if __name__ == "__main__":
    unittest.main()

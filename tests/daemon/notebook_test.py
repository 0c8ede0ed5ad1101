"""Finished runs go to the notebook by themselves, whatever becomes of the daemon or the folder."""

import hashlib
import json
import os
import signal
import socket
import subprocess
import time
import unittest

from faults import surroundings
from records import check_keys
from rig import Rig, repeated_after_stalls, wait_for


A_MATTER_OF_TIME = unittest.skipIf("NESTCUP_TEST_END_S" in os.environ,
                                   "sanitizers change how long things take, and take long")


class Notebook(unittest.TestCase):
    def rig(self):
        rig = Rig("one-trial.toml", after_period_s=60)
        with open(rig.bench_path, "a", encoding="utf-8") as file:
            file.write('\n[[notebook]]\nkind = "folder"\npath = "notebook"\n')
        return rig

    def folders(self, rig):
        place = rig.folder / "notebook"
        return sorted(place.glob("*/run.json")) if place.is_dir() else []  # hidden ones, too

    def unfinished(self, rig):
        return [path for path in (rig.folder / "notebook").iterdir() if path.name.startswith(".")]

    def check_arrived(self, rig):
        """One run, whole, and the same as the store has it; nothing half done stays behind it."""
        wait_for(lambda: len(self.folders(rig)) == 1 and not self.unfinished(rig),
                 "a run in the notebook")
        place = self.folders(rig)[0].parent
        record = json.loads((place / "run.json").read_text())
        check_keys(self, record)
        self.assertEqual(record, rig.wait_run()["record"])
        rows = [line for line in (place / "readings.csv").read_bytes().splitlines(keepends=True)
                if not line.startswith(b"#")]
        self.assertEqual(hashlib.sha256(b"".join(rows)).hexdigest(), record["readings"]["sha256"])
        proof = json.loads((place / "proof.json").read_text())
        for name, digest in proof["files"].items():
            self.assertEqual(hashlib.sha256((place / name).read_bytes()).hexdigest(), digest, name)
        return place

    def sync(self, rig, *words):
        return subprocess.run([os.environ["NESTCUP"], "sync", "--bench", str(rig.bench_path),
                               *words], capture_output=True, text=True, timeout=60, check=False)

    @repeated_after_stalls
    def test_a_finished_run_arrives_and_a_struck_one_again(self):
        with self.rig() as rig:
            rig.start()
            place = self.check_arrived(rig)
            wait_for(lambda: rig.status()["notebooks"][0]["waiting"] == 0, "nothing waiting")
            struck = subprocess.run([os.environ["NESTCUP"], "strike", "1", "--reason", "lid off",
                                     "--bench", str(rig.bench_path)], capture_output=True,
                                    text=True, timeout=60, check=False)
            self.assertEqual(struck.returncode, 0, struck.stderr)
            wait_for(lambda: (place / "run.r1.json").exists() and
                     json.loads((place / "run.json").read_text())["status"] == "struck",
                     "the struck record in the notebook")
            done = self.sync(rig)
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertIn("2 carried, 0 owed, 0 blocked", done.stdout)

    @repeated_after_stalls
    def test_a_daemon_that_is_killed_carries_after_the_next_start(self):
        with self.rig() as rig:
            rig.start()
            rig.wait_run()
            rig.daemon.end(signal.SIGKILL)
            rig.start_daemon()
            self.check_arrived(rig)

    @repeated_after_stalls
    def test_a_folder_that_cannot_be_made_is_told_and_waited_for(self):
        with self.rig() as rig:
            (rig.folder / "notebook").write_text("a file where the folder should be")
            rig.start()
            rig.wait_run()
            wait_for(lambda: rig.status()["notebooks"][0]["failure"], "a failure that is told")
            status = rig.status()
            self.assertFalse(status["well"])
            self.assertTrue(any("notebook" in problem for problem in status["problems"]), status)
            late = self.sync(rig)
            self.assertEqual(late.returncode, 75, late.stdout + late.stderr)
            before = status["probes"][0]["readings"]
            wait_for(lambda: rig.status()["probes"][0]["readings"] > before, "readings going on")
            (rig.folder / "notebook").unlink()
            done = self.sync(rig)
            self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
            self.check_arrived(rig)
            wait_for(lambda: not rig.status()["notebooks"][0]["failure"], "all well again")

    @A_MATTER_OF_TIME
    @repeated_after_stalls
    def test_a_slow_notebook_keeps_no_reading_waiting(self):
        look_s = 0.25  # 5 s of the bench at 20 times: ten readings
        with self.rig() as rig:
            rig.start_board()
            rig.start_daemon(env=surroundings([rig.folder / "notebook"], rig.folder / "steps", at=1,
                                              more="forever", kind="slow", ms=400))
            rig.wait_run()
            wait_for(lambda: rig.status()["notebooks"][0]["waiting"] == 1, "a run under way")
            counts = []
            for _ in range(20):
                counts.append(rig.status()["probes"][0]["readings"])
                time.sleep(look_s)
            self.assertEqual(rig.status()["notebooks"][0]["waiting"], 1, "not slow enough to tell")
            for before, after in zip(counts, counts[1:]):
                self.assertGreater(after, before, counts)
            code, end_s = rig.daemon.end()
            self.assertEqual(code, 0, rig.daemon.log())
            self.assertLess(end_s, 30.0)
            slow = (rig.folder / "steps").read_text("utf-8").count("done late")
            self.assertGreater(slow, 5)
            rig.start_daemon()
            self.check_arrived(rig)

    @A_MATTER_OF_TIME
    @repeated_after_stalls
    def test_a_server_that_hangs_holds_up_neither_readings_nor_the_stop(self):
        """It takes the connection and says nothing; alone, a bench would wait for 60 s."""
        with socket.create_server(("127.0.0.1", 0)) as deaf, Rig("one-trial.toml",
                                                                 after_period_s=60) as rig:
            deaf.settimeout(60)
            with open(rig.bench_path, "a", encoding="utf-8") as file:
                file.write('\n[[notebook]]\nkind = "webdav"\n'
                           f'url = "http://localhost:{deaf.getsockname()[1]}/lab"\n')
            rig.start()
            asked, _ = deaf.accept()
            with asked:
                rig.wait_run()
                before = rig.status()["probes"][0]["readings"]
                wait_for(lambda: rig.status()["probes"][0]["readings"] > before + 10,
                         "readings going on")
                code, end_s = rig.daemon.end()
            self.assertEqual(code, 0, rig.daemon.log())
            self.assertLess(end_s, 15.0)
            owed = subprocess.run([os.environ["NESTCUP"], "sync", "--status", "--bench",
                                   str(rig.bench_path)], capture_output=True, text=True,
                                  timeout=60, check=False)
            self.assertIn("0 carried, 1 owed, 0 blocked", owed.stdout)


if __name__ == "__main__":
    unittest.main()

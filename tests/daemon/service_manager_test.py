"""What the service manager is told: a real datagram socket in its place, the real daemon, and disks
that hang or are full by the fault shim."""

import collections
import os
import pathlib
import shutil
import socket
import subprocess
import threading
import time
import unittest

import faults
from rig import CUP, Rig, wait_for

OLD_STORE = pathlib.Path(__file__).parents[1] / "store/old/version-1.store"
WATCHDOG_S = 2.0
Told = collections.namedtuple("Told", "at_s lines")


class Manager:
    """Listens as systemd does and keeps what it hears, each datagram with its time."""

    def __init__(self, address):
        self.address = address
        self.heard = []
        self.ended = threading.Event()
        self.socket = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self.socket.bind("\0" + address[1:] if address[0] == "@" else address)
        self.socket.settimeout(0.2)
        self.thread = threading.Thread(target=self.listen, daemon=True)
        self.thread.start()

    def listen(self):
        while not self.ended.is_set():
            try:
                datagram = self.socket.recv(65536)
            except TimeoutError:
                continue
            self.heard.append(Told(time.monotonic(), datagram.decode("utf-8").split("\n")))

    def end(self):
        self.ended.set()
        self.thread.join()
        self.socket.close()

    def times(self, line):
        return [told.at_s for told in list(self.heard) if line in told.lines]

    def gaps(self, line):
        """Seconds from each to the next."""
        times = self.times(line)
        return [after - before for before, after in zip(times, times[1:])]

    def texts(self):
        """(time, status text) of each that came."""
        return [(told.at_s, line[len("STATUS="):]) for told in list(self.heard)
                for line in told.lines if line.startswith("STATUS=")]

    def wait_text(self, part):
        wait_for(lambda: any(part in text for _, text in self.texts()), f"a status with {part!r}")


class ServiceManager(unittest.TestCase):
    def begin(self, address=None, watchdog_s=WATCHDOG_S, variables=None, **fault):
        """A bench whose daemon has a service manager, and faults on the files of its store."""
        rig = Rig("quiet.toml", speed=5.0)
        self.addCleanup(rig.__exit__, None)
        manager = Manager(address or str(rig.folder / "notify"))
        self.addCleanup(manager.end)
        env = dict(os.environ, NOTIFY_SOCKET=manager.address)
        if watchdog_s:
            env["WATCHDOG_USEC"] = str(round(watchdog_s * 1e6))
        env.update(variables or {})
        if fault:
            env = faults.surroundings([rig.store_path], rig.folder / "steps", env=env, **fault)
        rig.start_board()
        return rig, manager, env

    def begin_late(self, after, calls, **fault):
        """The same with a fault `after` so many steps of these classes behind a start's."""
        rig, _, env = self.begin(calls=calls)
        rig.start_daemon(env=env)
        start = len(faults.read_log(rig.folder / "steps"))
        rig.__exit__(None)
        rig, manager, env = self.begin(calls=calls, at=start + after, **fault)
        rig.start_daemon(env=env)
        wait_for(lambda: manager.times("READY=1"), "READY=1")
        return rig, manager

    def test_ready_when_it_answers_and_signs_of_life_at_half_the_time(self):
        rig, manager, env = self.begin()
        rig.start_daemon(env=env)
        ready, = wait_for(lambda: manager.times("READY=1"), "READY=1")
        self.assertEqual(rig.ask("GET", "/v1/status")[0], 200)  # at once
        self.assertIn("opening the store", manager.texts()[0][1])
        self.assertLess(manager.texts()[0][0], ready)
        wait_for(lambda: len(manager.times("WATCHDOG=1")) > 6, "signs of life")
        self.assertGreaterEqual(manager.times("WATCHDOG=1")[0], ready)
        for gap in manager.gaps("WATCHDOG=1"):
            self.assertLess(gap, WATCHDOG_S)
            self.assertGreater(gap, WATCHDOG_S / 4)
        self.assertEqual(len(manager.times("READY=1")), 1)
        service = rig.status()["service"]
        self.assertEqual(service["watchdog_s"], WATCHDOG_S)
        self.assertLess(service["since_sign_s"], WATCHDOG_S)
        self.assertEqual(service["withheld"], "")
        code, _ = rig.daemon.end()
        self.assertEqual(code, 0, rig.daemon.log())
        stopping, = manager.times("STOPPING=1")
        self.assertLessEqual(manager.times("WATCHDOG=1")[-1], stopping)

    def test_status_says_in_words_what_has_changed_and_no_more(self):
        rig, manager, env = self.begin(watchdog_s=None)
        rig.start_daemon(env=env)
        manager.wait_text("1 of 1 probes read; watching for a mixing; 0 runs kept")
        told = subprocess.run([os.environ["NESTCUP"], "status", "--bench", rig.bench_path],
                              capture_output=True, encoding="utf-8", check=False).stdout
        self.assertIn("1 of 1 probes read; watching for a mixing; 0 runs kept; "
                      "it wants no signs of life", told)
        count = len(manager.texts())
        time.sleep(7)
        self.assertEqual(len(manager.texts()), count, manager.texts())  # nothing was new
        rig.board.end()
        manager.wait_text("0 of 1 probes read")
        self.assertEqual(rig.status()["service"]["told"], manager.texts()[-1][1])
        self.assertEqual(manager.times("WATCHDOG=1"), [])
        later = [at_s for at_s, _ in manager.texts()][2:]  # behind opening and READY
        for before, after in zip(later, later[1:]):
            self.assertGreater(after - before, 2.5)

    def test_no_sign_of_life_while_the_writer_hangs_in_a_sync(self):
        hang_s = 9
        rig, manager = self.begin_late(3, ["sync"], kind="slow", ms=hang_s * 1000)
        withheld = wait_for(lambda: rig.status()["service"]["withheld"], "no more signs")
        self.assertIn("the thread that writes the store has not moved", withheld)
        manager.wait_text("has not moved")
        hung = rig.status()
        self.assertGreater(hung["store"]["silent_s"], WATCHDOG_S / 2)
        self.assertEqual(hung["probes"][0]["stale"], False)  # readings go on
        wait_for(lambda: rig.status()["service"]["withheld"] == "", "signs again")
        # The manager would have ended it: more than its time without a sign. The answer above may
        # be here before the sign that was given with it.
        wait_for(lambda: max(manager.gaps("WATCHDOG=1")) > hang_s - WATCHDOG_S, "a long silence")
        self.assertIn("done late",
                      [step.outcome for step in faults.read_log(rig.folder / "steps")])
        self.assertEqual(rig.daemon.log().count("gets no sign of life"), 1)

    def test_a_full_disk_is_no_hang(self):
        rig, manager = self.begin_late(5, ["write"], kind="error", errno="ENOSPC", more="forever")
        manager.wait_text("the store cannot be written")
        since = time.monotonic()
        time.sleep(3 * WATCHDOG_S)
        signs = [at_s for at_s in manager.times("WATCHDOG=1") if at_s > since]
        self.assertGreaterEqual(len(signs), 3)
        self.assertEqual(rig.status()["service"]["withheld"], "")
        self.assertEqual(rig.daemon.log().count("held in memory"), 1)  # said once

    def test_more_time_while_an_old_store_is_opened_slowly_none_while_it_hangs(self):
        asked = {}
        for name, fault in (("slow", {"ms": 130, "more": "forever"}), ("hangs", {"ms": 7000})):
            rig, manager, env = self.begin(at=1, kind="slow", calls=["write", "sync"], **fault)
            shutil.copy(OLD_STORE, rig.store_path)
            rig.start_daemon(env=env)
            ready, = wait_for(lambda heard=manager: heard.times("READY=1"), "READY=1")
            self.assertGreater(ready - manager.texts()[0][0], 4.5)
            asked[name] = len([at_s for at_s in manager.times("EXTEND_TIMEOUT_USEC=30000000")
                               if at_s < ready])
            rig.__exit__(None)
        self.assertGreaterEqual(asked["slow"], 2)
        self.assertLessEqual(asked["hangs"], 1)  # before it began to hang

    def test_an_abstract_socket_and_a_watchdog_that_is_meant_for_another(self):
        rig, manager, env = self.begin(address=f"@nestcup-test-{os.getpid()}",
                                       variables={"WATCHDOG_PID": "1"})
        rig.start_daemon(env=env)
        wait_for(lambda: manager.times("READY=1"), "READY=1")
        manager.wait_text("1 of 1 probes read")
        self.assertIsNone(rig.status()["service"]["watchdog_s"])
        self.assertEqual(manager.times("WATCHDOG=1"), [])

    def test_no_manager_and_one_that_is_gone(self):
        with Rig("quiet.toml") as rig:
            rig.start_board()
            rig.start_daemon()
            self.assertIsNone(rig.status()["service"])
            rig.daemon.end()
            gone = str(rig.folder / "nobody")
            rig.start_daemon(env=dict(os.environ, NOTIFY_SOCKET=gone, WATCHDOG_USEC="400000"))
            told = "the service manager cannot be told"
            wait_for(lambda: told in rig.daemon.log(), "a word about it")
            wait_for(lambda: rig.status()["probes"][0]["readings"] > 20, "readings all the same")
            self.assertEqual(rig.daemon.log().count(told), 1)


class Journal(unittest.TestCase):
    def begin(self, name):
        rig = Rig("quiet.toml")
        self.addCleanup(rig.__exit__, None)
        log = rig.folder / "daemon-1.log"
        log.touch()
        facts = log.stat()
        stream = {"ours": f"{facts.st_dev}:{facts.st_ino}",
                  "another": f"{facts.st_dev}:{facts.st_ino + 1}"}[name]
        return rig, dict(os.environ, JOURNAL_STREAM=stream)

    def test_lines_for_the_journal_begin_with_their_level(self):
        rig, env = self.begin("ours")
        rig.start_board()
        rig.start_daemon(env=env)
        rig.board.end()
        wait_for(lambda: "<4>port board: waiting" in rig.daemon.log(), "the port's loss")
        time.sleep(3)
        rig.daemon.end()
        lines = rig.daemon.log().splitlines()
        for line in lines:
            self.assertRegex(line, r"^<[346]>(?!nestcupd: )")
        self.assertTrue(any(line.startswith("<6>ready: bench") for line in lines), lines)
        # It was unplugged, and then not there at many tries: each is said once.
        waiting = [line for line in lines if "port board: waiting" in line]
        self.assertEqual(len(waiting), len(set(waiting)), lines)

    def test_elsewhere_lines_stay_as_they_were(self):
        rig, env = self.begin("another")
        rig.start_board()
        rig.start_daemon(env=env)
        rig.daemon.end()
        for line in rig.daemon.log().splitlines():
            self.assertTrue(line.startswith("nestcupd: "), line)

    def test_a_wrong_bench_file_is_an_error_in_the_journal(self):
        rig, env = self.begin("ours")
        rig.write_bench([dict(CUP, role="lid")], {"baud": "fast"}, {})
        with open(rig.folder / "daemon-1.log", "ab") as log:
            code = subprocess.run(rig.daemon_arguments(), stderr=log, env=env,
                                  check=False).returncode
        self.assertEqual(code, 78)
        lines = (rig.folder / "daemon-1.log").read_text(encoding="utf-8").splitlines()
        self.assertEqual([line[:3] for line in lines], ["<3>", "<3>"], lines)


if __name__ == "__main__":
    unittest.main()

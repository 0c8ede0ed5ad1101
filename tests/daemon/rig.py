"""A bench for the tests: the real nestcupd and nestcup-sim on pseudo-terminals, in a folder of
their own, and ways to look at them that are not ours (HTTP and SQLite of Python itself).

The environment names the programs: NESTCUPD, NESTCUP_SIM, and NESTCUP_SCENARIOS (a folder).
NESTCUP_TEST_SPEED is how fast the benches run; slow builds (sanitizers) want it lower.
"""

import functools
import http.client
import json
import os
import pathlib
import re
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time

SPEED = float(os.environ.get("NESTCUP_TEST_SPEED", "20"))
PATIENCE_S = 60.0
STALL_S = 0.025
CUP = {"name": "cup", "role": "cup", "column": 1}


class UnixConnection(http.client.HTTPConnection):
    """HTTP over the control socket."""

    def __init__(self, path):
        super().__init__("localhost", timeout=30)
        self.path = path

    def connect(self):
        self.sock = socket.socket(socket.AF_UNIX, socket.SOCK_STREAM)
        self.sock.settimeout(self.timeout)
        self.sock.connect(self.path)


def wait_for(question, what, patience_s=PATIENCE_S):
    """Asks until the answer is true and hands it back."""
    end = time.monotonic() + patience_s
    while True:
        answer = question()
        if answer:
            return answer
        if time.monotonic() > end:
            raise AssertionError(f"waited {patience_s} s in vain for {what}")
        time.sleep(0.01)


def take_precedence():
    """At a fast clock a wait of the machine is a long one on the bench, and readings get wrong
    stamps; so where this is permitted, other programs do not make these ones wait."""
    try:
        os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(1))
    except PermissionError:
        pass


class StallWatch(threading.Thread):
    """Measures how long the machine lets a program wait that has precedence."""

    def __init__(self):
        super().__init__(daemon=True)
        self.longest_s = 0.0
        self.ended = threading.Event()
        self.start()

    def run(self):
        take_precedence()
        while not self.ended.is_set():
            begun = time.monotonic()
            time.sleep(0.005)
            self.longest_s = max(self.longest_s, time.monotonic() - begun - 0.005)


def repeated_after_stalls(test):
    """For tests of right results at a fast clock: a machine that stands still for a moment puts
    wrong stamps on readings, so that the result is rightly another one. Such a test is repeated
    where it failed and that was seen; where the machine ran evenly, a failure is one. A test case
    whose bench is made beforehand makes another one in `begin_again`."""
    @functools.wraps(test)
    def repeated(self, *what):
        for attempts_left in reversed(range(5)):
            watch = StallWatch()
            try:
                return test(self, *what)
            except AssertionError as failure:
                if not attempts_left or watch.longest_s < STALL_S:
                    raise
                print(f"the machine stood still for {watch.longest_s * 1e3:.0f} ms, so again: "
                      f"{failure}", file=sys.stderr)
                getattr(self, "begin_again", lambda: None)()
            finally:
                watch.ended.set()
    return repeated


def free_port():
    """Of the loopback; for whoever comes next."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        return server.getsockname()[1]


def toml(value):
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {toml(part)}" for key, part in value.items()) + " }"
    return json.dumps(value)  # strings, numbers and lists look the same in both


class Program:
    """A child process whose standard error goes to a file."""

    def __init__(self, arguments, log, user=None, precedence=True, env=None):
        self.log_path = pathlib.Path(log)
        with open(log, "ab") as errors:
            self.process = subprocess.Popen(arguments, stdin=subprocess.DEVNULL, user=user, env=env,
                                            stdout=subprocess.DEVNULL, stderr=errors,
                                            preexec_fn=take_precedence if precedence else None)

    def log(self):
        return self.log_path.read_text(encoding="utf-8", errors="replace")

    def runs(self):
        return self.process.poll() is None

    def end(self, number=signal.SIGTERM):
        """Sends the signal. @return exit code, seconds until the end"""
        begun = time.monotonic()
        if self.runs():
            self.process.send_signal(number)
        code = self.process.wait(PATIENCE_S)
        return code, time.monotonic() - begun


class Rig:
    """One bench in a temporary folder; a context manager that leaves nothing behind."""

    def __init__(self, scenario, probes=None, port=None, speed=SPEED, precedence=True,
                 **bench):
        self.scenario = scenario_file(scenario)
        self.speed = speed
        self.precedence = precedence
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="nestcup-rig-"))
        self.bench_path = self.folder / "bench.toml"
        self.store_path = self.folder / "bench.db"
        self.socket_path = str(self.folder / "bench.sock")
        self.device = self.folder / "board"
        self.truth_path = self.folder / "truth.json"
        self.daemon = None
        self.board = None
        self.logs = 0
        self.write_bench(probes or [CUP], port or {}, bench)

    def __enter__(self):
        return self

    def __exit__(self, *reason):
        for program in (self.daemon, self.board):
            if program and program.runs():
                program.end(signal.SIGKILL)
        if reason[0] and self.daemon:
            print(self.daemon.log(), file=sys.stderr)
        shutil.rmtree(self.folder, ignore_errors=True)

    def write_bench(self, probes, port, bench):
        head = {"name": "bench", "store": self.store_path.name, "interval_s": 0.5, **bench}
        lines = ["[bench]"] + [f"{key} = {toml(value)}" for key, value in head.items()]
        board = {"name": "board", "device": str(self.device), "protocol": "text", **port}
        lines += ["[[port]]"] + [f"{key} = {toml(value)}" for key, value in board.items()]
        for probe in probes:
            lines += ["[[probe]]", 'port = "board"']
            lines += [f"{key} = {toml(value)}" for key, value in probe.items()]
        self.bench_path.write_text("\n".join(lines) + "\n", encoding="utf-8")

    def start_board(self, *options, env=None):
        """The simulated board; its scenario begins when the port is first opened."""
        self.board = Program(
            [os.environ["NESTCUP_SIM"], "--scenario", str(self.scenario), "--link",
             str(self.device), "--truth", str(self.truth_path), "--speed", str(self.speed),
             "--wait-open", "--keep-open", *options],
            self.folder / "board.log", precedence=self.precedence, env=env)
        wait_for(self.device.exists, "the board's port")

    def daemon_arguments(self):
        return [os.environ["NESTCUPD"], "--bench", str(self.bench_path), "--speed",
                str(self.speed)]

    def start_daemon(self, user=None, env=None):
        self.logs += 1
        log = self.folder / f"daemon-{self.logs}.log"
        self.daemon = Program(self.daemon_arguments(), log, user, self.precedence, env)
        wait_for(lambda: "ready" in self.daemon.log() or not self.daemon.runs(), "ready")
        assert self.daemon.runs(), self.daemon.log()

    def start(self):
        self.start_board()
        self.start_daemon()
        return self

    def ask(self, method, path, body=None):
        """@return status code, answer"""
        connection = UnixConnection(self.socket_path)
        try:
            text = None if body is None else json.dumps(body)
            head = {"Content-Type": "application/json"} if text is not None else {}
            connection.request(method, path, body=text, headers=head)
            response = connection.getresponse()
            return response.status, json.loads(response.read())
        finally:
            connection.close()

    def status(self):
        code, status = self.ask("GET", "/v1/status")
        assert code == 200, status
        return status

    def runs(self):
        code, answer = self.ask("GET", "/v1/runs")
        assert code == 200, answer
        return answer["runs"]

    def state(self):
        return self.status()["run"]["state"]

    def wait_state(self, state):
        wait_for(lambda: self.state() == state, f"the state {state}")

    def wait_after_period(self, least_s):
        """Until the after period has lasted so long (bench time)."""
        return wait_for(lambda: (self.status()["run"]["after_period_s"] or 0) > least_s,
                        f"{least_s} s of after period")

    def wait_run(self):
        """The first finished run, as the daemon lists it; while its store fails it may say that it
        did not get to that."""
        def found():
            code, answer = self.ask("GET", "/v1/runs")
            assert code in (200, 503), answer
            return answer.get("runs")
        return wait_for(found, "a finished run")[0]

    def board_truth(self):
        """What the board wrote down when its port was first opened, which may be a moment after the
        daemon is ready."""
        wait_for(self.truth_path.exists, "the port to be opened")
        return json.loads(self.truth_path.read_text(encoding="utf-8"))

    def truth(self):
        return self.board_truth()["mixings"]

    def scenario_s(self):
        """What time it is in the scenario."""
        truth = self.board_truth()
        return (time.time() - truth["started_wall_us"] * 1e-6) * truth["speed"]

    def trace(self, column="cup_degC", lasts_s=3000):
        """What the board's probe reads, value by value; long past the scenario's end, for the board
        goes on until it is stopped."""
        longer = self.folder / "longer.toml"
        longer.write_text(re.sub(r"(?m)^duration_s = .*$", f"duration_s = {lasts_s}",
                                 self.scenario.read_text(encoding="utf-8")), encoding="utf-8")
        text = subprocess.run([os.environ["NESTCUP_SIM"], "--scenario", str(longer),
                               "--trace", "-"], check=True, capture_output=True,
                              encoding="utf-8").stdout
        head, *rows = [line.split(",") for line in text.splitlines() if line[0] != "#"]
        return [float(row[head.index(column)]) for row in rows]

    def look(self):
        """A copy of the store, so that looking never recovers, checkpoints or locks the real one
        (not while the daemon writes it)."""
        copy = pathlib.Path(tempfile.mkdtemp(dir=self.folder)) / "copy.db"
        for end in ("", "-wal"):
            source = pathlib.Path(str(self.store_path) + end)
            if source.exists():
                shutil.copy(source, str(copy) + end)
        return sqlite3.connect(copy)


def scenario_file(scenario):
    return pathlib.Path(os.environ["NESTCUP_SCENARIOS"]) / scenario


def sessions(store):
    """The cup's readings of each session of the daemon: lists of values by time."""
    starts = [row[0] for row in store.execute("SELECT axis_us FROM session ORDER BY id")]
    blocks = [[] for _ in starts]
    for time_us, value in store.execute(
            "SELECT time_us, temperature_degC FROM reading JOIN probe ON probe = probe.id "
            "WHERE role = 'cup' ORDER BY time_us"):
        blocks[sum(start <= time_us for start in starts) - 1].append(value)
    return blocks


def machine_times(store):
    """From the store's times to the machine's CLOCK_BOOTTIME, both in us (one session)."""
    (machine_us, axis_us, speed), = store.execute("SELECT machine_us, axis_us, speed FROM session")
    return lambda time_us: machine_us + (time_us - axis_us) / speed


def marks(store):
    """When the pour was marked: the machine's CLOCK_BOOTTIME, us (one session)."""
    return [machine_times(store)(time_us) for time_us, in store.execute(
        "SELECT time_us FROM event WHERE kind = 'mark' ORDER BY time_us")]


def integrity(store):
    return [row[0] for row in store.execute("PRAGMA integrity_check")]


def place_in(trace, block, begin=0):
    """Where `block` stands in the trace without a hole, at `begin` or later; None where nowhere."""
    for start in range(begin, len(trace) - len(block) + 1):
        if trace[start:start + len(block)] == block:
            return start
    return None

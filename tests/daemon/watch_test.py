#!/usr/bin/env python3
"""nestcup watch on a real pseudo-terminal, its screen read with pyte, which is of another make, and
into a pipe; the daemon is the real one."""

import fcntl
import json
import os
import pty
import re
import select
import signal
import struct
import subprocess
import termios
import threading
import time
import unittest

import pyte

from rig import CUP, PATIENCE_S, Rig, wait_for

ADDED = {"name": "added", "role": "added", "column": 2}
ALTERNATE, BACK = b"\x1b[?1049h", b"\x1b[?1049l"
UTF8 = {"LC_ALL": "C.UTF-8", "TERM": "xterm-256color"}


class Terminal(threading.Thread):
    """A pseudo-terminal whose screen somebody watches."""

    def __init__(self, rig, columns=80, rows=24, options=(), env=None):
        super().__init__(daemon=True)
        self.screen = pyte.Screen(columns, rows)
        self.stream = pyte.ByteStream(self.screen)
        self.seen = b""
        self.lock = threading.Lock()
        self.ours, self.theirs = pty.openpty()
        self.resize(columns, rows)
        self.before = termios.tcgetattr(self.theirs)
        surroundings = {key: value for key, value in os.environ.items()
                        if not key.startswith(("LC_", "LANG", "NO_COLOR"))}
        self.process = subprocess.Popen(
            [os.environ["NESTCUP"], "watch", "--bench", str(rig.bench_path), *options],
            stdin=self.theirs, stdout=self.theirs, stderr=self.theirs, start_new_session=True,
            env=surroundings | UTF8 | (env or {}),
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0))
        self.ended = False
        self.start()

    def __enter__(self):
        return self

    def __exit__(self, *reason):
        if reason[0]:
            print(self.text())
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait(PATIENCE_S)
        self.ended = True
        self.join(PATIENCE_S)
        os.close(self.ours)
        os.close(self.theirs)

    def run(self):
        while not self.ended:
            if select.select([self.ours], [], [], 0.05)[0]:
                data = os.read(self.ours, 65536)
                with self.lock:
                    self.seen += data
                    self.stream.feed(data)

    def resize(self, columns, rows):
        fcntl.ioctl(self.theirs, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        with self.lock:
            self.screen.resize(rows, columns)

    def press(self, keys):
        os.write(self.ours, keys)

    def lines(self):
        with self.lock:
            return list(self.screen.display)

    def text(self):
        return "\n".join(line.rstrip() for line in self.lines())

    def wait_text(self, wanted):
        wait_for(lambda: re.search(wanted, self.text()), f"{wanted!r} on the screen")

    def is_restored(self):
        """Settings as before, the ordinary screen with its cursor, and nothing after that."""
        with self.lock:
            seen, hidden = self.seen, self.screen.cursor.hidden
        return (termios.tcgetattr(self.theirs) == self.before and not hidden
                and seen.count(ALTERNATE) == seen.count(BACK) > 0
                and seen.rfind(BACK) > seen.rfind(ALTERNATE))


def shown(degC):
    return f"{degC:.2f}".replace("-", "\u2212") + " \u00b0C"


class Watch(unittest.TestCase):
    def check_temperatures(self, rig, terminal):
        """What the screen has is what the status said at some time in the last seconds."""
        end = time.monotonic() + 2.0
        told = [set(), set()]
        while time.monotonic() < end:
            for values, probe in zip(told, rig.status()["probes"]):
                if probe["last_degC"] is not None:
                    values.add(shown(probe["last_degC"]))
        text = terminal.text()
        for title, values in zip(("Cup", "Second vessel"), told):
            line = re.search(rf"(?m)^{title} .*$", text).group()
            self.assertIn(re.search("\\S+ \u00b0C", line).group(), values)

    def check_terminal_given_back(self, terminal, code=0):
        self.assertEqual(terminal.process.wait(PATIENCE_S), code, terminal.text())
        wait_for(terminal.is_restored, "the terminal as it was")

    def check_facts(self, rig):
        with Terminal(rig, 60, 18) as terminal:
            terminal.wait_text("Bench bench")
            self.assertIn(ALTERNATE, terminal.seen)
            self.assertNotEqual(termios.tcgetattr(terminal.theirs), terminal.before)
            self.check_temperatures(rig, terminal)
            terminal.wait_text("[\u2801-\u28ff]")  # the curve
            terminal.wait_text(r"(?m)^q: quit   s: span 15 min$")
            terminal.press(b"s")
            terminal.wait_text("span 30 min")
            terminal.press(b"q")
            self.check_terminal_given_back(terminal)

    def fills(self, terminal, columns, rows):
        """From the first row, with what stands at its right end, to the last."""
        lines = terminal.lines()
        head = f"Bench bench{'live':>{columns - len('Bench bench')}}"
        foot = f"{'q: quit   s: span 15 min':<{columns}}"
        return (lines[0], lines[-1], len(lines)) == (head, foot, rows)

    def check_sizes(self, rig):
        with Terminal(rig) as terminal:
            terminal.wait_text("[\u2580\u2584\u2588]{3}")  # large digits
            for columns, rows in ((40, 15), (200, 50), (80, 24)):
                terminal.resize(columns, rows)
                wait_for(lambda: self.fills(terminal, columns, rows), f"{columns}x{rows}")
            terminal.process.send_signal(signal.SIGTERM)
            self.check_terminal_given_back(terminal)

    def check_stopped(self, rig):
        """Ctrl-Z gives the terminal back until the program goes on; Ctrl-C ends it."""
        with Terminal(rig, 60, 18) as terminal:
            terminal.wait_text("Bench bench")
            terminal.process.send_signal(signal.SIGTSTP)
            wait_for(terminal.is_restored, "the terminal while it is stopped")
            terminal.process.send_signal(signal.SIGCONT)
            wait_for(lambda: not terminal.is_restored(), "the screen again")
            terminal.wait_text("Bench bench")
            terminal.press(b"\x03")
            self.check_terminal_given_back(terminal)

    def check_plain(self, rig):
        """Without UTF-8 all is ASCII, without colours there are none, and German is German."""
        env = {"LC_ALL": "C", "LANG": "de_DE", "LC_MESSAGES": "de_DE", "NO_COLOR": "1"}
        with Terminal(rig, 60, 18, ("--language", "de"), env) as terminal:
            terminal.wait_text("Platz bench")
            terminal.wait_text(r"\d,\d\d degC")
            terminal.wait_text(r"\*\*\*")
            self.assertNotRegex(terminal.seen, rb"\x1b\[[0-9;]*m")
            self.assertTrue(terminal.seen.isascii())
            terminal.press(b"q")
            self.check_terminal_given_back(terminal)

    def check_restart(self, rig):
        """A daemon that goes and comes again, killed or hung."""
        with Terminal(rig, 60, 18) as terminal:
            terminal.wait_text("live")
            rig.daemon.end(signal.SIGKILL)
            terminal.wait_text("Connection lost")
            rig.start_daemon()
            terminal.wait_text(r"(?m)live *$")
            self.check_temperatures(rig, terminal)
            rig.daemon.process.send_signal(signal.SIGSTOP)
            begun = time.monotonic()
            terminal.press(b"q")
            wait_for(terminal.is_restored, "the terminal as it was")
            self.assertLess(time.monotonic() - begun, 2.5)
            rig.daemon.process.send_signal(signal.SIGCONT)
            self.check_terminal_given_back(terminal)

    def check_no_daemon(self, rig):
        rig.daemon.end()
        done = subprocess.run([os.environ["NESTCUP"], "watch", "--bench", str(rig.bench_path)],
                              capture_output=True, encoding="utf-8", timeout=60, check=False)
        self.assertEqual((done.returncode, done.stdout), (69, ""), done.stderr)
        self.assertIn("no daemon answers", done.stderr)

    def test_a_screen(self):
        with Rig("one-trial.toml", probes=[CUP, ADDED], speed=5.0) as rig:
            rig.start()
            wait_for(lambda: all(one["last_degC"] is not None for one in rig.status()["probes"]),
                     "readings")
            self.check_facts(rig)
            self.check_sizes(rig)
            self.check_stopped(rig)
            self.check_plain(rig)
            self.check_restart(rig)
            self.check_no_daemon(rig)


def watching(rig, *options, **env):
    return subprocess.Popen(
        [os.environ["NESTCUP"], "watch", "--bench", str(rig.bench_path), *options],
        stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        encoding="utf-8", env=dict(os.environ) | {"LC_ALL": "C.UTF-8"} | env)


class Lines(unittest.TestCase):
    def check_json(self, lines, run):
        """Every line is an object; the run's life is told in order."""
        told = [json.loads(line) for line in lines]
        periods = [one["period"] for one in told if one.get("event") == "period"]
        self.assertEqual(periods[-2:], ["after", "watching"])
        self.assertIn("main", periods)
        stored, = [one for one in told if one.get("event") == "stored"]
        self.assertEqual((stored["run"], stored["id"]), (run["number"], run["id"]))
        states = [one for one in told if one["kind"] == "state"]
        self.assertGreater(len(states), 5)
        for one in told:
            self.assertRegex(one["at"], r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$")
        rises = [one["run"]["corrected_rise_K"] for one in states
                 if one["run"]["corrected_rise_K"] is not None]
        truth = run["record"]["corrected_rise_K"]["value"]
        self.assertTrue(rises)
        self.assertLess(abs(rises[-1]["value"] - truth), 5 * rises[-1]["u"])
        since = [one["run"]["since_mixing_s"] for one in states
                 if one["run"]["period"] == "after"]
        self.assertEqual(since, sorted(since))
        self.assertIn("cover", [one["code"] for one in told if one.get("event") == "advice"])

    def check_text(self, lines):
        for line in lines:
            self.assertRegex(line, r"^\d{4}-\d\d-\d\dT[0-9:.]+Z  \S")
            self.assertNotIn("\x1b", line)
        text = "\n".join(lines)
        for wanted in ("Cup \u2212?\\d+\\.\\d\\d \u00b0C, ", "Z  Main period$",
                       "Z  Run 1 is stored\\.$", "Since mixing \\d:\\d\\d; "):
            self.assertRegex(text, re.compile(wanted, re.MULTILINE))

    def test_lines(self):
        with Rig("one-trial.toml", probes=[CUP, ADDED], after_period_s=60) as rig:
            rig.start()
            programs = [watching(rig, "--json", "--every", "0.5"), watching(rig, "--every", "1")]
            run = rig.wait_run()
            time.sleep(1.5)  # so that they have seen it, too
            outputs = []
            for program, number in zip(programs, (signal.SIGTERM, signal.SIGINT)):
                program.send_signal(number)
                out, err = program.communicate(timeout=PATIENCE_S)
                self.assertEqual((program.returncode, err), (0, ""))
                outputs.append(out.splitlines())
            self.check_json(outputs[0], run)
            self.check_text(outputs[1])
            # A reader that goes away early is no failure.
            program = watching(rig, "--every", "0.1")
            program.stdout.readline()
            program.stdout.close()
            self.assertEqual(program.wait(PATIENCE_S), 0)
            program.stderr.close()
            for wrong in (("--every", "0"), ("--every", "nan"), ("--language", "xx")):
                program = watching(rig, *wrong)
                program.communicate(timeout=PATIENCE_S)
                self.assertEqual(program.returncode, 64, wrong)


if __name__ == "__main__":
    unittest.main()

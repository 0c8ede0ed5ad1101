"""The daemon asks Modbus servers that are not ours, over a pair of pseudo-terminals made by socat.

pymodbus is Debian's, so this runs with the system's Python.
"""

import contextlib
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import time
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))
from rig import Program, UnixConnection, wait_for  # noqa: E402

import json  # noqa: E402

HERE = pathlib.Path(__file__).parent
PYTHON = "/usr/bin/python3"
SERVERS = {"libmodbus": lambda port: [os.environ["MODBUS_SERVER"], port],
           "pymodbus": lambda port: [PYTHON, str(HERE / "pymodbus_server.py"), port]}
# Name, role, keys of the bench file, temperature: three probes a bench.
BENCHES = [
    [("cup", "register = 0\nfunction = 3\nscale = 0.1", 21.5),
     ("added", "register = 1\nscale = 0.1", -3.5),
     ("room", 'register = 20\nformat = "int32"\nscale = 0.001', 21.5)],
    [("cup", 'register = 10\nformat = "float32"\nword_order = "ABCD"', 21.5),
     ("added", 'register = 12\nformat = "float32"\nword_order = "CDAB"', 21.5),
     ("room", 'register = 14\nfunction = 3\nformat = "float32"\nword_order = "BADC"', 21.5)],
    [("cup", 'register = 16\nformat = "float32"\nword_order = "DCBA"', 21.5),
     ("added", 'register = 21\nformat = "uint16"\nscale = 0.001', 21.5),
     ("room", "register = 900", None)],  # an exception
]


def bench_text(probes):
    text = """[bench]
name = "peer"
interval_s = 0.2
[[port]]
name = "line"
device = "our-end"
protocol = "modbus-rtu"
parity = "none"
settle_s = 0.1
"""
    for name, keys, _ in probes:
        text += f'[[probe]]\nname = "{name}"\nport = "line"\ndevice = 17\n{keys}\n'
    return text


@contextlib.contextmanager
def running(arguments, folder, name):
    program = Program(arguments, folder / f"{name}.log", precedence=False)
    try:
        yield program
    finally:
        program.end(9)


@contextlib.contextmanager
def bench(server, probes):
    """A daemon that asks the server; its folder and programs go afterwards."""
    folder = pathlib.Path(tempfile.mkdtemp(prefix="nestcup-peer-"))
    ours, theirs = folder / "our-end", folder / "their-end"
    pair = [f"pty,raw,echo=0,link={end}" for end in (ours, theirs)]
    (folder / "bench.toml").write_text(
        bench_text(probes).replace("our-end", str(ours)), encoding="utf-8")
    try:
        with running(["socat", *pair], folder, "socat"):
            wait_for(lambda: ours.exists() and theirs.exists(), "the pair of terminals")
            with running(SERVERS[server](str(theirs)), folder, "server") as peer, running(
                    [os.environ["NESTCUPD"], "--bench", str(folder / "bench.toml")], folder,
                    "daemon") as daemon:
                yield folder, peer, daemon
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def answers(folder):
    """Whether the daemon has begun to listen, which it does a moment after its socket appears."""
    try:
        return bool(status(folder))
    except OSError:
        return False


def status(folder):
    connection = UnixConnection(str(folder / "peer.sock"))
    try:
        connection.request("GET", "/v1/status")
        return json.loads(connection.getresponse().read())
    finally:
        connection.close()


class Peers(unittest.TestCase):
    def check(self, server, probes):
        with bench(server, probes) as (folder, peer, daemon):
            wait_for(lambda: answers(folder) or not daemon.runs(), "the daemon")
            self.assertTrue(daemon.runs(), daemon.log())
            wait_for(lambda: not peer.runs() or status(folder)["probes"][0]["readings"] >= 1,
                     "the server's start", 30)
            self.assertTrue(peer.runs(), peer.log())
            before = status(folder)["ports"][0]["requests_unanswered"]
            wait_for(lambda: status(folder)["probes"][0]["readings"] >= 10, "ten readings", 30)
            self.assertTrue(peer.runs(), peer.log())
            state = status(folder)
            for seen, (name, _, wanted) in zip(state["probes"], probes):
                with self.subTest(server=server, probe=name):
                    if wanted is None:
                        self.assertEqual(seen["readings"], 0)
                        self.assertGreater(seen["faults"]["refused"], 0)
                        self.assertIn("illegal data address (exception 2)", daemon.log())
                    else:
                        self.assertAlmostEqual(seen["last_degC"], wanted, places=9)
                        self.assertEqual(seen["faults"], {})
            port = state["ports"][0]
            self.assertEqual(port["faults"], {})
            self.assertEqual(port["requests_unanswered"], before)

    def test_libmodbus(self):
        for probes in BENCHES:
            self.check("libmodbus", probes)

    def test_pymodbus(self):
        for probes in BENCHES:
            self.check("pymodbus", probes)

    def test_server_that_goes_and_comes(self):
        """A device that is off is asked on and taken again; nothing is made up meanwhile."""
        with bench("libmodbus", BENCHES[0]) as (folder, peer, daemon):
            wait_for(lambda: answers(folder), "the daemon")
            wait_for(lambda: status(folder)["probes"][0]["readings"] >= 3, "readings", 30)
            peer.end(9)
            wait_for(lambda: status(folder)["ports"][0]["requests_unanswered"] >= 1, "silence", 30)
            readings = status(folder)["probes"][0]["readings"]
            time.sleep(1.0)
            self.assertEqual(status(folder)["probes"][0]["readings"], readings)
            again = SERVERS["libmodbus"](str(folder / "their-end"))
            with running(again, folder, "again"):
                wait_for(lambda: status(folder)["probes"][0]["readings"] > readings + 3,
                         "readings after the return", 30)
            self.assertEqual(status(folder)["probes"][0]["last_degC"], 21.5)


if __name__ == "__main__":
    if subprocess.run([PYTHON, "-c", "import pymodbus.server"], check=False).returncode != 0:
        sys.exit("pymodbus is missing: run tools/install-packages")
    unittest.main()

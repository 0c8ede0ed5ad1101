"""Boards made of a pseudo-terminal that a test feeds itself, and benches with several ports."""

import os
import pathlib
import threading
import time
import tty

from rig import Rig, toml


class Board:
    """The device's end of a port; `link` leads to the other end. Nobody else has that open."""

    def __init__(self, link):
        self.link = pathlib.Path(link)
        self.device, self.path = None, None
        self.plug_in()

    def plug_in(self):
        """Under another number than before."""
        ends = os.openpty()
        if os.ttyname(ends[1]) == self.path:
            ends, again = os.openpty(), ends
            for end in again:
                os.close(end)
        self.device, other = ends
        self.path = os.ttyname(other)
        tty.setraw(other)
        os.close(other)
        beside = self.link.with_name(self.link.name + ".new")
        beside.symlink_to(self.path)
        beside.rename(self.link)

    def unplug(self):
        device, self.device = self.device, None
        self.link.unlink(missing_ok=True)
        if device is not None:
            os.close(device)

    def write(self, data):
        """Waits while the other end takes no more."""
        while data:
            data = data[os.write(self.device, data):]


class Talker(threading.Thread):
    """Says `line(n)` for n = 0, 1, 2... every `interval_s`; `said` has n and when (steady time)."""

    def __init__(self, board, line, interval_s=0.1):
        super().__init__(daemon=True)
        self.board, self.line, self.interval_s = board, line, interval_s
        self.said = []
        self.ended = threading.Event()
        self.start()

    def run(self):
        due = time.monotonic()
        while not self.ended.wait(max(0.0, due - time.monotonic())):
            self.said.append(time.monotonic())
            self.board.write(self.line(len(self.said) - 1))
            due += self.interval_s

    def end(self):
        self.ended.set()
        self.join()


class PortsRig(Rig):
    """A bench whose ports are Boards of the test's own: a name -> keys of its [[port]]. Probes say
    which port is theirs. Runs on real time."""

    def __init__(self, ports, probes, speed=1.0, **bench):
        self.port_keys = ports
        super().__init__("still.toml", probes, speed=speed, precedence=False, **bench)
        self.boards = {name: Board(self.folder / name) for name in ports}

    def __exit__(self, *reason):
        super().__exit__(*reason)
        for board in self.boards.values():
            board.unplug()

    def write_bench(self, probes, _, bench):
        head = {"name": "bench", "store": self.store_path.name, "interval_s": 0.5, **bench}
        lines = ["[bench]"] + [f"{key} = {toml(value)}" for key, value in head.items()]
        for name, keys in self.port_keys.items():
            port = {"name": name, "device": str(self.folder / name), "settle_s": 0.1, **keys}
            lines += ["[[port]]"] + [f"{key} = {toml(value)}" for key, value in port.items()]
        for probe in probes:
            lines += ["[[probe]]"] + [f"{key} = {toml(value)}" for key, value in probe.items()]
        self.bench_path.write_text("\n".join(lines) + "\n", encoding="utf-8")

    def port(self, name):
        return next(port for port in self.status()["ports"] if port["name"] == name)

    def probe(self, name):
        return next(probe for probe in self.status()["probes"] if probe["name"] == name)

    def stored(self, role):
        """The readings of a probe in the store, by time; to be asked when the daemon has ended."""
        return [row[0] for row in self.look().execute(
            "SELECT temperature_degC FROM reading JOIN probe ON probe = probe.id "
            "WHERE role = ? ORDER BY time_us", (role,))]


def resident_MiB(pid):
    for line in pathlib.Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    raise RuntimeError(f"no VmRSS in /proc/{pid}/status")

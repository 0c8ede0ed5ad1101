"""One daemon with 64 ports at ten lines a second each, one of them unplugged every second and back
half a second later under another number. A bench has three probes at most: three ports carry one,
of which one is asked, and 61 carry none; their lines are read, counted and dropped.

bench_ports.py [SECONDS]; the environment as in tests/daemon/rig.py. Prints figures, one a line:
name, value, unit. Fails where a reading, a line or a descriptor is lost or memory grows; judges no
time. The drivers with a probe on every port are measured by many_ports.
"""

import os
import pathlib
import sys
import threading
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))

from bench_daemon import cpu_s, figure, memory_MiB  # noqa: E402 (the folder must be known first)
from boards import PortsRig  # noqa: E402
from rig import wait_for  # noqa: E402

PORTS = 64
PROBED = {"cup": 0, "added": 1, "room": 2}
ASKED = 2
FIRST_UNPLUGGED = 32  # those before keep their cables
INTERVAL_S, AWAY_S = 0.1, 0.5
# A buffer kept for each opening or line would pass it at once; the store's cache does not.
MOST_GROWTH_MIB = 4.0


def line(number):
    """Every line has the same length, so that bytes tell how many came."""
    return b"%08.4f\r\n" % (20.0 + number * 1e-4)


class Feeder(threading.Thread):
    """Talks for all boards but the one that is asked, and pulls cables."""

    def __init__(self, boards):
        super().__init__(daemon=True)
        self.boards = boards
        self.sent = [[] for _ in boards]  # steady times
        self.away = {}  # board -> when it comes back
        self.unplugged = 0
        self.same_paths = 0
        self.pulls = True
        self.ended = threading.Event()
        self.start()

    def run(self):
        turn, start = 0, time.monotonic()
        while not self.ended.wait(max(0.0, start + turn * INTERVAL_S / PORTS - time.monotonic())):
            number = turn % PORTS
            if number != ASKED and number not in self.away:
                self.say(number)
            if self.pulls and turn % (10 * PORTS) == 10 * PORTS - 1:
                self.unplug(FIRST_UNPLUGGED + self.unplugged * 7 % (PORTS - FIRST_UNPLUGGED))
            for back in [n for n, due in self.away.items() if due <= time.monotonic()]:
                self.plug_in(back)
            turn += 1

    def say(self, number):
        self.sent[number].append(time.monotonic())
        self.boards[number].write(line(len(self.sent[number]) - 1))

    def unplug(self, number):
        self.boards[number].unplug()
        self.away[number] = time.monotonic() + AWAY_S
        self.unplugged += 1

    def plug_in(self, number):
        old_path = self.boards[number].path
        self.boards[number].plug_in()
        self.same_paths += self.boards[number].path == old_path
        del self.away[number]

    def end(self):
        self.ended.set()
        self.join()


def answer(board, feeder):
    """The board that is asked answers each question."""
    while not feeder.ended.is_set():
        try:
            questions = os.read(board.device, 1000).count(b"R")
        except OSError:  # nobody has the port open
            time.sleep(0.01)
            continue
        for _ in range(questions):
            feeder.say(ASKED)


def descriptors(pid):
    time.sleep(0.5)  # the daemon closes what answered the last question
    return len(os.listdir(f"/proc/{pid}/fd"))


def all_open(rig):
    return all(port["state"] == "open" for port in rig.status()["ports"])


def check(rig, feeder, problems):
    """Whether every line of the ports whose cables stayed was read; all were open before."""
    ports = rig.status()["ports"]
    lost = 0
    for number in range(FIRST_UNPLUGGED):
        lines, rest = divmod(ports[number]["bytes"], len(line(0)))
        sent = len(feeder.sent[number])
        if rest or lines != sent:
            problems.append(f"port {number}: {lines} lines and {rest} bytes of {sent} lines")
            lost += max(0, sent - lines)
    figure("ports.lines_lost", lost, "1")
    for port in ports:
        unplugs = port["opens"] - 1
        if unplugs > 0 and int(port["name"][1:]) < FIRST_UNPLUGGED:
            problems.append(f"port {port['name']} was opened anew")
    opens = sum(port["opens"] for port in ports)
    if opens != PORTS + feeder.unplugged:
        problems.append(f"{opens} openings, {PORTS + feeder.unplugged} expected")


def check_stored(rig, feeder, problems):
    """Every reading but the first of an opening, which may have begun before."""
    lost = 0
    for role, number in PROBED.items():
        stored = rig.stored(role)
        sent = [float(line(n)) for n in range(len(feeder.sent[number]))]
        if len(stored) < len(sent) - 1 or stored != sent[-len(stored):]:
            problems.append(f"{role}: {len(stored)} of {len(sent)} readings stored, or others")
            lost += max(0, len(sent) - 1 - len(stored))
    figure("ports.readings_lost", lost, "1")


def measure(seconds):
    ports = {f"p{number}": {"settle_s": 0.05} for number in range(PORTS)}
    ports[f"p{ASKED}"]["request"] = "R\n"
    probes = [{"name": role, "role": role, "port": f"p{number}", "column": 1}
              for role, number in PROBED.items()]
    problems = []
    with PortsRig(ports, probes, interval_s=INTERVAL_S) as rig:
        boards = list(rig.boards.values())
        rig.start_daemon()
        wait_for(lambda: all_open(rig), "all ports")
        pid = rig.daemon.process.pid
        files = descriptors(pid)
        feeder = Feeder(boards)
        threading.Thread(target=answer, args=(boards[ASKED], feeder), daemon=True).start()
        since, cpu_before = time.monotonic(), cpu_s(pid)
        time.sleep(min(60.0, seconds / 4))
        early_MiB = memory_MiB(pid, "VmRSS")
        time.sleep(max(0.0, since + seconds - time.monotonic()))
        feeder.pulls = False
        wait_for(lambda: not feeder.away and all_open(rig), "all cables")
        used_s, took_s = cpu_s(pid) - cpu_before, time.monotonic() - since
        grown_MiB = memory_MiB(pid, "VmRSS") - early_MiB
        feeder.end()
        files_after = descriptors(pid)
        count = sum(when >= since for sent in feeder.sent for when in sent)
        sampler = rig.status()["sampler"]
        figure("ports.unplugged", feeder.unplugged, "1")
        figure("ports.rate", count / took_s, "lines/s")
        figure("ports.cpu_per_line", used_s / count * 1e6, "us")
        figure("ports.cpu_share", 100 * used_s / took_s, "%")
        figure("ports.resident", memory_MiB(pid, "VmRSS"), "MiB")
        figure("ports.resident_growth", grown_MiB, "MiB")
        figure("ports.descriptors_before", files, "1")
        figure("ports.descriptors_after", files_after, "1")
        for name in ("late_median_us", "late_p99_us"):
            figure(f"ports.sampler.{name[:-3]}", sampler[name], "us")
        figure("ports.sampler.missed", sampler["missed"], "1")
        check(rig, feeder, problems)
        if files_after != files:
            problems.append("descriptors leak")
        if grown_MiB > MOST_GROWTH_MIB and "--sanitized" not in sys.argv:
            problems.append(f"memory grew by {grown_MiB:.1f} MiB")
        if feeder.unplugged < seconds / 2 or feeder.same_paths:
            problems.append("cables were not pulled, or came back under the old number")
        rig.daemon.end()
        check_stored(rig, feeder, problems)
    return problems


def main():
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 600.0
    problems = measure(seconds)
    for problem in problems:
        print("bench_ports.py:", problem, file=sys.stderr)
    sys.exit(1 if problems else 0)


if __name__ == "__main__":
    main()

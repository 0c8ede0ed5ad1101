"""256 probes at ten readings a second, on boards of 8 and of 32 and on a port each: what the daemon
costs, how true its stamps are, whether any reading is lost; the same job done by a plain Python
script (pyserial, sqlite3) and by socat, ts and sqlite3; what being woken by each line costs alone;
and how many readings a second the daemon still keeps up with.

bench_load.py LOAD_BOARDS [--short] [--limit]; the environment as in tests/daemon/rig.py. Prints
figures, one a line: name, value, unit. Fails where a reading is lost; judges no time.
"""

import array
import contextlib
import json
import os
import pathlib
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))

from bench_daemon import cpu_s, figure, memory_MiB  # noqa: E402 (the folder must be known first)
from rig import Program, UnixConnection, wait_for  # noqa: E402

PROBES = 256
PER_S = 10.0
MOST_PER_S = 200.0  # of one probe; what comes faster is dropped as a flood
ARRANGEMENTS = ((8, "boards_of_8"), (32, "boards_of_32"), (1, "a_port_each"))  # columns of a board
PLAIN = pathlib.Path(__file__).with_name("plain_logger.py")


class Boards:
    """The boards, in a process of their own."""

    def __init__(self, program, folder, columns, per_s, seconds):
        self.folder, self.log, self.columns = folder, folder / "sent", columns
        self.count = PROBES // columns
        self.process = subprocess.Popen(
            [program, *map(str, (folder, self.count, columns, per_s, seconds, self.log))],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout.readline() == "ready\n"
        self.ports = [folder / f"board-{number}" for number in range(self.count)]

    def begin(self):
        self.process.stdin.write("begin\n")
        self.process.stdin.flush()

    def sent_us(self):
        """Of the n-th line of each board in turn; when all were sent."""
        assert self.process.stdout.readline() == "sent\n"
        times = array.array("q")
        times.frombytes(self.log.read_bytes())
        return times

    def end(self):
        self.process.stdin.close()
        self.process.wait()


@contextlib.contextmanager
def boards_in_folder(program, columns, per_s, seconds):
    with tempfile.TemporaryDirectory(prefix="nestcup-load-") as folder:
        boards = Boards(program, pathlib.Path(folder), columns, per_s, seconds)
        try:
            yield boards
        finally:
            boards.end()


def write_bench(boards):
    lines = ["[bench]", 'name = "load"', 'store = "load.db"', 'control = "load.sock"']
    for number, port in enumerate(boards.ports):
        lines += ["[[port]]", f'name = "b{number}"', f'device = "{port}"', "settle_s = 0.1"]
        for column in range(boards.columns):
            role = "other" if number or column else "cup"
            lines += ["[[probe]]", f'name = "p{number}-{column}"', f'port = "b{number}"',
                      f"column = {column + 1}", f'role = "{role}"', 'unit = "degC"']
    path = boards.folder / "load.toml"
    path.write_text("\n".join(lines) + "\n", encoding="ascii")
    return path


def status(boards):
    connection = UnixConnection(str(boards.folder / "load.sock"))
    connection.request("GET", "/v1/status")
    answer = json.loads(connection.getresponse().read())
    connection.close()
    return answer


def stamps_against(boards, sent_us):
    """Every reading of the store beside the board's own log.
    @return errors of the stamps in us, sorted; how many readings are not there"""
    store = sqlite3.connect(f"file:{boards.folder}/load.db?mode=ro", uri=True)
    machine_us, axis_us = store.execute("SELECT machine_us, axis_us FROM session").fetchone()
    names = dict(store.execute("SELECT id, name FROM probe"))
    errors, found = [], set()
    for time_us, probe, degC in store.execute(
            "SELECT time_us, probe, temperature_degC FROM reading"):
        board, column = map(int, names[probe][1:].split("-"))
        turn = round((degC - 20.0) * 1e4) * boards.count + board
        found.add((turn, column))
        errors.append(abs(time_us - axis_us + machine_us - sent_us[turn]))
    store.close()
    # A board's very first line may have been under way when its port was opened.
    lost = sum((turn, column) not in found for turn in range(boards.count, len(sent_us))
               for column in range(boards.columns))
    return sorted(errors), lost


def daemon(boards, name, seconds):
    """@return CPU per reading in us, readings lost"""
    logger = Program([os.environ["NESTCUPD"], "--bench", str(write_bench(boards))],
                     boards.folder / "log", precedence=False)
    wait_for(lambda: "ready" in logger.log() or not logger.runs(), "ready")
    assert logger.runs(), logger.log()
    wait_for(lambda: logger.log().count(": open") == boards.count, "all ports")
    before_s = cpu_s(logger.process.pid)
    boards.begin()
    sent_us = boards.sent_us()
    time.sleep(0.1)
    used_s = cpu_s(logger.process.pid) - before_s
    cpu_us = used_s / len(sent_us) / boards.columns * 1e6
    memory = [memory_MiB(logger.process.pid, key) for key in ("VmRSS", "VmHWM")]
    last = status(boards)
    logger.end()
    errors, lost = stamps_against(boards, sent_us)
    refused = sum(1 for at_us in sent_us if at_us == 0)
    figure(f"load.{name}.readings", len(errors), "1")
    figure(f"load.{name}.lost", lost, "1")
    figure(f"load.{name}.refused_by_terminal", refused, "1")
    figure(f"load.{name}.cpu_share", 100 * used_s / seconds, "%")
    figure(f"load.{name}.cpu_per_reading", cpu_us, "us")
    figure(f"load.{name}.resident", memory[0], "MiB")
    figure(f"load.{name}.resident_peak", memory[1], "MiB")
    for part, share in (("median", 0.5), ("p99", 0.99), ("longest", 1.0)):
        figure(f"load.{name}.stamp_error_{part}",
               errors[min(len(errors) - 1, int(share * len(errors)))] / 1e3, "ms")
    figure(f"load.{name}.commits_per_s", last["store"]["commits"] / seconds, "1/s")
    figure(f"load.{name}.longest_commit", last["store"]["longest_commit_ms"], "ms")
    return cpu_us, lost + refused


def flushes(program, columns, seconds):
    """What the kernel is really asked to put on the disk, as strace sees it."""
    with boards_in_folder(program, columns, PER_S, seconds) as boards:
        trace = boards.folder / "trace"
        logger = Program(["strace", "-D", "-f", "-e", "trace=fsync,fdatasync", "-o", str(trace),
                          os.environ["NESTCUPD"], "--bench", str(write_bench(boards))],
                         boards.folder / "log", precedence=False)
        wait_for(lambda: logger.log().count(": open") == boards.count, "all ports")
        before = trace.read_text(encoding="ascii").count("sync(")
        boards.begin()
        boards.sent_us()
        count = trace.read_text(encoding="ascii").count("sync(") - before
        figure("load.daemon.fsyncs_per_s", count / seconds, "1/s")
        logger.end()


def tree(root):
    """A process and all that it started."""
    parents = {}
    for entry in pathlib.Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):
            rest = entry.read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
            parents[int(entry.parent.name)] = int(rest[1])
    found, grows = {root}, True
    while grows:
        more = {pid for pid, parent in parents.items() if parent in found} - found
        found |= more
        grows = bool(more)
    return found


def others(boards, name, command, is_ready, seconds):
    """@return CPU per reading in us"""
    logger = Program(command, boards.folder / f"{name}.log", precedence=False)
    wait_for(is_ready, f"{name} to be ready")
    pids = tree(logger.process.pid)
    before_s = sum(cpu_s(pid) for pid in pids)
    boards.begin()
    count = len(boards.sent_us()) * boards.columns
    assert logger.runs(), logger.log()
    used_s = sum(cpu_s(pid) for pid in pids) - before_s
    figure(f"load.{name}.processes", len(pids), "1")
    figure(f"load.{name}.cpu_share", 100 * used_s / seconds, "%")
    figure(f"load.{name}.cpu_per_reading", used_s / count * 1e6, "us")
    figure(f"load.{name}.resident", sum(memory_MiB(pid, "VmRSS") for pid in pids), "MiB")
    for pid in pids:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    return used_s / count * 1e6


def plain_script(boards, name, seconds):
    """Where the ports are many, two scripts share them: pyserial takes five descriptors for a port
    and waits for it by select(2), which knows no descriptor above 1023."""
    parts = 1 if boards.count < 200 else 2
    stores = [boards.folder / f"plain-{part}.db" for part in range(parts)]
    script = "".join(
        f"{sys.executable} {PLAIN} {store} {' '.join(map(str, boards.ports[part::parts]))} &\n"
        for part, store in enumerate(stores)) + "wait\n"
    return others(boards, name, ["bash", "-c", script],
                  lambda: all(store.exists() for store in stores) and settle(), seconds)


def settle():
    """Interpreters start, and open their ports."""
    time.sleep(5.0)
    return True


def shell_pipeline(boards, name, seconds):
    """For each port a socat and a ts; one sqlite3 takes all their lines."""
    store, fifo = boards.folder / "shell.db", boards.folder / "fifo"
    os.mkfifo(fifo)
    script = (
        f"exec 3<>{fifo}\n"
        f"sqlite3 {store} 'CREATE TABLE reading (port, time_s, line)' "
        f"'.separator \" \"' '.import /dev/fd/3 reading' &\n"
        f"for port in {boards.folder}/board-*; do\n"
        f"  socat -u \"$port,raw,echo=0\" STDOUT | ts \"$port %.s\" >&3 &\n"
        "done\nwait\n")
    wanted = 2 * boards.count + 1

    def is_ready():
        names = []
        for pid in tree(os.getpid()):
            with contextlib.suppress(OSError):
                names.append(pathlib.Path(f"/proc/{pid}/comm").read_text(encoding="ascii").strip())
        return sum(name in ("socat", "ts", "sqlite3") for name in names) >= wanted and settle()

    return others(boards, name, ["bash", "-c", script], is_ready, seconds)


def only_waking(program, boards, name, seconds):
    """What no program can do without that is woken by each line."""
    log = boards.folder / f"{name}.log"
    return others(boards, name, [program, *map(str, boards.ports)],
                  lambda: "ready" in log.read_text(encoding="ascii"), seconds)


def beside(program, columns, name, seconds):
    """One arrangement of the probes: the daemon, the script, the shell. @return readings lost"""
    with boards_in_folder(program, columns, PER_S, seconds) as boards:
        ours_us, lost = daemon(boards, name, seconds)
    seconds = min(seconds, 20.0)
    with boards_in_folder(program, columns, PER_S, seconds) as boards:
        python_us = plain_script(boards, f"{name}.python", seconds)
    with boards_in_folder(program, columns, PER_S, seconds) as boards:
        shell_us = shell_pipeline(boards, f"{name}.shell", seconds)
    with boards_in_folder(program, columns, PER_S, seconds) as boards:
        only_read = pathlib.Path(program).with_name("only_read")
        waking_us = only_waking(only_read, boards, f"{name}.waking", seconds)
    figure(f"load.{name}.waking_over_python", waking_us / python_us, "1")
    figure(f"load.{name}.over_python", ours_us / python_us, "1")
    figure(f"load.{name}.over_shell", ours_us / shell_us, "1")
    return lost


def limit(program, columns, name, seconds):
    """Doubles the rate until readings are lost, a processor has no more to give, or a probe sends
    all that the daemon takes from one."""
    per_s, lost = 2 * PER_S, 0
    while not lost and per_s < MOST_PER_S:
        with boards_in_folder(program, columns, per_s, seconds) as boards:
            cpu_us, lost = daemon(boards, f"{name}_at_{per_s:g}_per_s", seconds)
        if cpu_us * per_s * PROBES > 0.9e6:
            return
        per_s *= 2


def main():
    words = sys.argv[1:]
    program, is_short = words[0], "--short" in words
    seconds = 3.0 if is_short else 60.0
    arrangements = ARRANGEMENTS[:1] if is_short else ARRANGEMENTS
    lost = sum(beside(program, columns, name, seconds) for columns, name in arrangements)
    flushes(program, 8, min(3 * seconds, 20.0))
    if "--limit" in words:
        for columns, name in arrangements:
            limit(program, columns, name, 20.0)
    if lost:
        sys.exit(f"{lost} readings were lost")


if __name__ == "__main__":
    main()

"""What the daemon costs and how well it keeps time: figures, one a line: name, value, unit.

bench_daemon.py [--short]; the environment as in tests/daemon/rig.py. The real nestcupd reads the
real nestcup-sim over a pseudo-terminal; times are the machine's.
"""

import pathlib
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))

from rig import Rig, wait_for  # noqa: E402 (the folder must be known first)

ROLES = ["cup", "added", "room"]

SCENARIO = """\
[scenario]
name = "bench"
duration_s = 3000
interval_s = {interval_s}
[room]
temperature_degC = 21.5
[cup]
heat_capacity_J_per_K = 430.0
temperature_degC = 22.0
leak_W_per_K = 0.13
stirring_W = 0.03
[added]
temperature_degC = 30.0
leak_per_s = 4.0e-4
[board]
reset_on_open = false
polled = {polled}
"""

PROBE = """\
[[probe]]
name = "p{number}"
place = "{place}"
lag_s = 4.0
noise_K = 0.008
step_K = 0.01
"""


def figure(name, value, unit):
    print(f"{name} {value:.6g} {unit}", flush=True)


def scenario(folder, probes, interval_s, polled=False):
    path = folder / "scenario.toml"
    text = SCENARIO.format(interval_s=interval_s, polled="true" if polled else "false")
    for number in range(1, probes + 1):
        place = ["cup", "added"][number - 1] if number < 3 else "air"
        text += PROBE.format(number=number, place=place)
    path.write_text(text, encoding="ascii")
    return path


def bench_probes(count):
    return [{"name": role, "role": role, "column": column}
            for column, role in enumerate(ROLES[:count], 1)]


def cpu_s(pid):
    """User and system time of a process, s: its CPU clock, which counts in ns where utime and stime
    of /proc count in hundredths of a second (numbering of clocks as in clock_getcpuclockid(3))."""
    return time.clock_gettime((~pid << 3) | 2)


def memory_MiB(pid, key):
    for line in pathlib.Path(f"/proc/{pid}/status").read_text(encoding="ascii").splitlines():
        if line.startswith(key + ":"):
            return int(line.split()[1]) / 1024
    raise RuntimeError(f"no {key} in /proc/{pid}/status")


def readings(rig):
    return sum(probe["readings"] for probe in rig.status()["probes"])


def cost(folder, name, speed, seconds):
    """CPU time per reading: a board of eight columns, ten lines in a second of bench time, and a
    probe in each role (a bench has no more)."""
    path = scenario(folder, probes=8, interval_s=0.1)
    port = {"settle_s": 0.1}
    with Rig(path, bench_probes(3), port, speed, precedence=False) as rig:
        rig.start()
        wait_for(lambda: readings(rig) > 0, "readings")
        pid = rig.daemon.process.pid
        before, cpu_before = readings(rig), cpu_s(pid)
        time.sleep(seconds)
        count, used_s = readings(rig) - before, cpu_s(pid) - cpu_before
        figure(f"daemon.{name}.readings", count, "1")
        figure(f"daemon.{name}.rate", count / seconds, "readings/s")
        figure(f"daemon.{name}.cpu_per_reading", used_s / count * 1e6, "us")
        figure(f"daemon.{name}.cpu_share", 100 * used_s / seconds, "%")
        figure(f"daemon.{name}.resident", memory_MiB(pid, "VmRSS"), "MiB")
        figure(f"daemon.{name}.resident_peak", memory_MiB(pid, "VmHWM"), "MiB")


def timing(folder, seconds):
    """How late the sampler's ticks are, asking every 0.1 s in real time."""
    path = scenario(folder, probes=1, interval_s=0.1, polled=True)
    port = {"settle_s": 0.1, "request": "R\n"}
    with Rig(path, bench_probes(1), port, 1.0, precedence=False, interval_s=0.1) as rig:
        rig.start()
        time.sleep(seconds)
        sampler = wait_for(lambda: readings(rig) and rig.status()["sampler"], "readings")
        figure("sampler.ticks", sampler["ticks"], "1")
        figure("sampler.missed", sampler["missed"], "1")
        figure("sampler.late_median", sampler["late_median_us"], "us")
        figure("sampler.late_p99", sampler["late_p99_us"], "us")


def run_end(times):
    """From the end of the after period to the stored record."""
    took_ms = []
    for _ in range(times):
        with Rig("one-trial.toml") as rig:
            rig.start()
            last = wait_for(lambda: rig.status()["run"]["last_finished"], "a finished run")
            took_ms.append(last["stored_after_ms"])
    took_ms.sort()
    figure("run.stored_after.runs", times, "1")
    figure("run.stored_after.median", took_ms[times // 2], "ms")
    figure("run.stored_after.longest", took_ms[-1], "ms")


def main():
    is_short = "--short" in sys.argv[1:]
    seconds = 2.0 if is_short else 20.0
    with tempfile.TemporaryDirectory(prefix="nestcup-bench-") as folder:
        folder = pathlib.Path(folder)
        cost(folder, "real_time", 1.0, seconds)
        cost(folder, "fast_clock", 20.0, seconds)
        timing(folder, seconds)
    run_end(1 if is_short else 5)


if __name__ == "__main__":
    main()

"""Runs both benchmarks and makes sure that every figure was produced; judges none of them.

run_bench.py BENCH_REPLAY [--short]
"""

import pathlib
import subprocess
import sys

EXPECTED = [
    "daemon.real_time.cpu_per_reading", "daemon.real_time.resident",
    "daemon.fast_clock.cpu_per_reading", "daemon.fast_clock.resident",
    "sampler.late_median", "sampler.late_p99", "run.stored_after.median",
    "replay.day_2_hz.speed", "replay.day_10_hz.speed", "replay.quiet_cost_ratio"]


def figures(command):
    """Runs a benchmark, shows what it prints, and hands back name -> value."""
    with subprocess.Popen(command, stdout=subprocess.PIPE, encoding="ascii") as process:
        found = {}
        for line in process.stdout:
            print(line, end="", flush=True)
            name, value, _ = line.split(maxsplit=2)
            found[name] = float(value)
    if process.returncode != 0:
        sys.exit(f"{command[0]}: exit code {process.returncode}")
    return found


def main():
    replay, *options = sys.argv[1:]
    daemon = str(pathlib.Path(__file__).parent / "bench_daemon.py")
    found = figures([replay, *options]) | figures([sys.executable, "-B", daemon, *options])
    wrong = [name for name in EXPECTED if not found.get(name, -1.0) >= 0.0]
    if wrong:
        sys.exit(f"no figure for {', '.join(wrong)}")


if __name__ == "__main__":
    main()

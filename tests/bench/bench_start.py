"""How long the daemon and the commands take on a store of ten million readings: from the start of
nestcupd to "ready", and `nestcup status`, `runs` and `show` beside it; each the median of several.

bench_start.py FILL_STORE [READINGS [RUNS]]; the environment as in tests/daemon/rig.py, and NESTCUP.
Prints figures, one a line: name, value, unit; ends with success where all commands did.
"""

import os
import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, str(pathlib.Path(__file__).parent.parent / "daemon"))

# The folder must be known first.
from bench_daemon import bench_probes, figure, memory_MiB, scenario  # noqa: E402
from rig import Rig, wait_for  # noqa: E402

REPEATS = 9


def ready_ms(rig):
    """From the start of the process to its line "ready"; the daemon ends again."""
    process = subprocess.Popen(rig.daemon_arguments(), stdin=subprocess.DEVNULL,
                               stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    begun = time.monotonic()
    for line in process.stderr:
        if "ready" in line:
            break
    took_ms = (time.monotonic() - begun) * 1e3
    peak_MiB = memory_MiB(process.pid, "VmHWM")
    process.terminate()
    process.communicate()
    return took_ms, peak_MiB


def command_ms(rig, *words):
    begun = time.monotonic()
    subprocess.run([os.environ["NESTCUP"], *words, "--bench", str(rig.bench_path)], check=True,
                   stdout=subprocess.DEVNULL)
    return (time.monotonic() - begun) * 1e3


def main(fill_store, readings="10000000", runs="200"):
    with (tempfile.TemporaryDirectory() as folder,
          Rig(scenario(pathlib.Path(folder), 3, 0.5), bench_probes(3), speed=1.0,
              precedence=False) as rig):
        subprocess.run([fill_store, str(rig.store_path), readings, runs], check=True)
        figure("start.readings", int(readings), "1")
        figure("start.store", rig.store_path.stat().st_size / 2**20, "MiB")
        times = [ready_ms(rig) for _ in range(REPEATS)]
        figure("start.ready_median", statistics.median(took for took, _ in times), "ms")
        figure("start.ready_longest", max(took for took, _ in times), "ms")
        figure("start.resident_peak", max(peak for _, peak in times), "MiB")
        rig.start()
        wait_for(lambda: rig.status()["well"], "a bench that is well")
        for words in (["status"], ["runs"], ["show", "7"], ["show", runs]):
            took = [command_ms(rig, *words) for _ in range(REPEATS)]
            name = "_".join(words)
            figure(f"start.{name}_median", statistics.median(took), "ms")
            figure(f"start.{name}_longest", max(took), "ms")


if __name__ == "__main__":
    main(*sys.argv[1:])

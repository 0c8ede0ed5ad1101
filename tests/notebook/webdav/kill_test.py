#!/usr/bin/env python3
"""`nestcup sync` to WebDAV servers, killed (SIGKILL) at random moments; and the servers killed and
started again meanwhile: whatever is left, going on brings everything, once and whole.

kill_test.py [KILLS [SEED]]: as many kills of the bench, and as many of the server, of each make.
"""

import pathlib
import random
import signal
import subprocess
import sys
import tempfile
import time

from dav_bench import NESTCUP, Source, check_there, shown, sync
from servers import MAKES, Server

RUNS = 6


def check_whole(server, source):
    for path, data in shown(server).items():
        if not path.startswith(("index ", "chain ")) and not path.endswith(".old"):
            stages = [stage.get(path, "none") for stage in (source.first, source.last)]
            assert data in stages, path


def killed(server, folder, after_s, whom):
    """@return whether the kill came before the end"""
    with subprocess.Popen([NESTCUP, "sync", "--bench", folder / "bench.toml"],
                          stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as process:
        try:
            process.wait(after_s)
            assert process.returncode == 0, process.stderr.read()
            return False
        except subprocess.TimeoutExpired:
            if whom == "bench":
                process.kill()
                process.wait()
                server.wait_idle()
            else:
                server.stop(signal.SIGKILL)
                process.wait(60)
                server.start()
            return True


def main():
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 2
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else time.time_ns() % 1_000_000
    chance = random.Random(seed)
    print(f"seed {seed}", flush=True)
    with tempfile.TemporaryDirectory() as keeper:
        home = pathlib.Path(keeper).resolve()
        source = Source(home, RUNS)
        for make in MAKES:
            for whom in ("bench", "server"):
                done = benches = 0
                with Server(make) as server:
                    while done < kills:
                        server.clear()
                        with tempfile.TemporaryDirectory(dir=home) as name:
                            folder = source.bench(pathlib.Path(name), server.url)
                            benches += 1
                            while done < kills and killed(server, folder,
                                                          chance.expovariate(1 / 0.2), whom):
                                done += 1
                                check_whole(server, source)
                            last = sync(folder)
                            assert (last.returncode, last.stderr) == (0, ""), last.stderr
                            check_there(folder, server, source.last)
                print(f"{make}: {done} kills of the {whom}, {benches} benches of {RUNS} runs: all "
                      "whole", flush=True)


if __name__ == "__main__":
    main()

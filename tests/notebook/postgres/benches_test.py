#!/usr/bin/env python3
"""Many benches that carry to one database at once, half of them with the same sheet, while somebody
asks it and connections break: no run is lost or doubled, and the database as a whole belongs
together.

benches_test.py [BENCHES [RUNS]]: 16 benches of 4 runs by default.
"""

import pathlib
import subprocess
import sys
import tempfile
import threading
import time

from course import NESTCUP, check_carried, made_bench, nestcup, prepared, strike, synced
from server import Server


def ask(server, stop, seen):
    """Readers see whole runs only, and never fewer than before."""
    most = 0
    while not stop.is_set():
        ((runs, halves),) = server.sql(
            "SELECT count(*), count(*) FILTER (WHERE NOT EXISTS (SELECT FROM nestcup.trace "
            "WHERE trace.run = c.id) OR NOT EXISTS (SELECT FROM nestcup.link WHERE link.run = c.id)"
            ") FROM nestcup.current_run AS c")
        seen.append((int(runs) >= most, halves == "0"))
        most = int(runs)
        # Breaks a connection now and then, as a weary network does.
        server.sql("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE "
                   "application_name LIKE 'nestcup %' AND random() < 0.03")
        time.sleep(0.05)


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 16
    runs = int(sys.argv[2]) if len(sys.argv) > 2 else 4
    with tempfile.TemporaryDirectory() as keeper, tempfile.TemporaryDirectory() as place:
        home = pathlib.Path(keeper).resolve()
        with Server(place) as server:
            url = prepared(server)
            folders = []
            for number in range(count):
                folders.append(made_bench(home / f"bench{number}", url, runs, kinds=2,
                                          name=f"bench-{number % (count // 2)}", number=number))
                if number % 3 == 0:
                    strike(folders[-1], 1)
            stop, seen = threading.Event(), []
            reader = threading.Thread(target=ask, args=(server, stop, seen))
            begun = time.monotonic()
            reader.start()
            benches = [subprocess.Popen([NESTCUP, "sync", "--bench", folder / "bench.toml"],
                                        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                       for folder in folders]
            codes = [bench.wait(300) for bench in benches]
            took_s = time.monotonic() - begun
            stop.set()
            reader.join()
            assert set(codes) <= {0, 75}, codes
            for folder in folders:
                synced(folder)
            assert seen and all(more and whole for more, whole in seen), "a half run was seen"
            check_carried(server, folders)
            if count <= 16:
                found = nestcup("verify", url)
                assert found.returncode == 0, found.stdout
                assert f"{count * runs} runs belong together" in found.stdout
    print(f"{count} benches of {runs} runs at once, {took_s:.1f} s, {codes.count(75)} needed a "
          f"second pass, {len(seen)} looks: nothing lost or doubled")


if __name__ == "__main__":
    main()

#!/usr/bin/env python3
"""`nestcup sync` of many owed runs, killed (SIGKILL) at random moments: whatever is left, going on
brings everything, once and whole.

kill_test.py [KILLS [SEED]]: as many kills as wanted, over as many benches as they take.
"""

import pathlib
import random
import subprocess
import sys
import tempfile
import time

from bench_folder import (NESTCUP, change, check_carried, check_chain, copied_bench, is_hidden,
                          made_bench, nestcup, rows, sync, tree)

RUNS = 20


def check_shown(folder, after):
    """What shows is whole: files as they will be or, of a run with a revision, as they were."""
    shown = {path: data for path, data in tree(folder / "notebook").items()
             if not is_hidden(path)}
    for path, data in shown.items():
        assert any(data == stage.get(path, "none") for stage in after), f"{path} is half-written"
    carried = rows(folder, "SELECT count(DISTINCT run) FROM owed JOIN link ON link = link.number "
                           "WHERE state = 'carried'")[0][0]
    there = [path for path, data in shown.items() if data is None]
    assert carried <= len(there) <= carried + 1, f"{carried} carried, {len(there)} there"
    for run in there:
        names = {path for path in after[0] if path.startswith(run + "/")}
        assert names <= set(shown), f"{run} lacks files"


def killed_sync(folder, after_s):
    """@return whether the kill came before the end"""
    with subprocess.Popen([NESTCUP, "sync", "--bench", folder / "bench.toml"],
                          stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as process:
        try:
            process.wait(after_s)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
            return True
        assert process.returncode == 0, process.stderr.read()
    return False


def patterns(home):
    """A bench with all runs owed (half of them with two revisions), what its notebook holds without
    the later revisions and with them, and how long all takes, s."""
    source = made_bench(home / "source", RUNS, kinds=2)
    first = home / "first"
    first.mkdir()
    copied_bench(source, first)
    assert sync(first).returncode == 0
    stages = [tree(first / "notebook")]
    for number in range(1, RUNS + 1, 2):
        assert nestcup(first, "strike", number, "--reason", "spilt").returncode == 0
    all_new = home / "new"
    all_new.mkdir()
    copied_bench(first, all_new)
    assert sync(first).returncode == 0
    stages.append(tree(first / "notebook"))
    subprocess.run(["rm", "-r", all_new / "notebook"], check=True)
    change(all_new, ("DELETE FROM owed",), ("DELETE FROM notebook",))
    return all_new, stages


def main():
    kills = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else time.time_ns() % 1_000_000
    chance = random.Random(seed)
    print(f"seed {seed}", flush=True)
    done = benches = 0
    with tempfile.TemporaryDirectory() as keeper:
        home = pathlib.Path(keeper).resolve()
        source, stages = patterns(home)
        begun = time.monotonic()
        while done < kills:
            with tempfile.TemporaryDirectory(dir=home) as name:
                folder = pathlib.Path(name)
                copied_bench(source, folder)
                benches += 1
                # Mostly short, so that one bench is killed many times on its way.
                while done < kills and killed_sync(folder, chance.expovariate(1 / 0.4)):
                    done += 1
                    check_shown(folder, stages)
                last = sync(folder)
                assert (last.returncode, last.stderr) == (0, ""), last.stderr
                check_carried(folder)
                check_chain(folder)
                assert tree(folder / "notebook") == stages[-1], "not what an even way leads to"
        took_s = time.monotonic() - begun
    print(f"{done} kills, {benches} benches of {RUNS} runs, {took_s:.0f} s: all whole")


if __name__ == "__main__":
    main()

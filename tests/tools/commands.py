"""Calls of the programs under test, shared by the tests of the command line."""

import json
import os
import pathlib
import subprocess

NESTCUP = os.environ["NESTCUP"]
NESTCUP_SIM = os.environ["NESTCUP_SIM"]
SCENARIOS = os.environ["NESTCUP_SCENARIOS"]


def nestcup(*words, text=None, cwd=None):
    """One call; the result has returncode, stdout and stderr."""
    return subprocess.run([NESTCUP, *map(str, words)], input=text, cwd=cwd, capture_output=True,
                          text=True, timeout=300, check=False)


def trace_of(scenario, folder, seed=None):
    """Trace file and truth (a list of mixings) of one of the shipped scenarios."""
    return simulated(pathlib.Path(SCENARIOS) / f"{scenario}.toml", folder, seed)


def simulated(scenario, folder, seed=None):
    """The same of any scenario's file."""
    trace, truth = folder / f"{scenario.stem}.csv", folder / f"{scenario.stem}.json"
    words = [NESTCUP_SIM, "--scenario", str(scenario), "--trace", str(trace),
             "--truth", str(truth)]
    if seed is not None:
        words += ["--seed", str(seed)]
    subprocess.run(words, check=True, capture_output=True, timeout=120)
    return trace, json.loads(truth.read_text())["mixings"]


def records(result):
    """The records of a replay --json, which prints nothing else."""
    return [json.loads(line) for line in result.stdout.splitlines()]


def same_but_for_id(first, second):
    """Whether two records are one but for id and wall times."""
    strip = ("id", "started_at", "mixed_at", "finished_at")
    return ({key: value for key, value in first.items() if key not in strip}
            == {key: value for key, value in second.items() if key not in strip})

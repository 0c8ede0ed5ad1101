"""Runs programs with a fault at a chosen step, for campaigns; shim/settings.c says what a step is.

    def command(folder): return [NESTCUP, "trials", "--store", folder / "bench.db"]
    def check(folder, run, what): assert readable(folder / "bench.db"), what
    each_step(copy_the_store, command, check, kinds=("kill", "kill_after", "error:ENOSPC"))

runs the command with the first step failing, then the second, and so on until it has no step that
many. NESTCUP_TEST_FAULT_SHIM is the library; ${fault_surroundings} in CMake sets it.
"""

import os
import pathlib
import subprocess
import tempfile
from typing import NamedTuple

MANY_STEPS = 5000
OWN_FAULTS = ("made to fail", "shortened", "done late", "killed")


class Step(NamedTuple):
    """A step as the shim tells of it."""
    number: int
    call: str
    path: str
    outcome: str

    def had_fault(self):
        """Whether the shim made this fault; a call may also have failed by itself."""
        return self.outcome.startswith(OWN_FAULTS)


class Run(NamedTuple):
    """A program that has ended. `code` is its exit code, negative where a signal ended it."""
    code: int
    output: str
    errors: str
    steps: list

    def had_fault(self):
        return any(step.had_fault() for step in self.steps)


def surroundings(paths, log, at=None, kind="error", errno="EIO", more=0, every=1, ms=100,
                 calls=None, children=None, env=None):
    """The variables of a program that runs with the shim, to be started by other means (Popen).

    paths     what counts: files and folders, "inet", "unix", "socket"
    log       file that gets a line for each step
    at        number of the step that gets the fault; None: none
    more      how many steps after it get it, too, or "forever"
    every     of these only every so-many-th gets it
    calls     classes that count; None: all
    children  a file made by `counter`, where the program's children count, too
    env       variables to begin with, instead of ours
    """
    variables = {name: value for name, value in (os.environ if env is None else env).items()
                 if not name.startswith("NESTCUP_FAULT_")}
    variables["LD_PRELOAD"] = " ".join(
        filter(None, [os.environ["NESTCUP_TEST_FAULT_SHIM"], variables.get("LD_PRELOAD")]))
    # gcc's AddressSanitizer wants to be the first library, which the shim is now.
    variables["ASAN_OPTIONS"] = ":".join(
        filter(None, [variables.get("ASAN_OPTIONS"), "verify_asan_link_order=0"]))
    settings = {"PATHS": ":".join(map(str, paths)), "LOG": log, "CHILDREN": children,
                "CALLS": ",".join(calls) if calls else None}
    if at is not None:
        settings |= {"AT": at, "FOR": more, "EVERY": every, "KIND": kind, "ERRNO": errno, "MS": ms}
    for name, value in settings.items():
        if value is not None:
            variables["NESTCUP_FAULT_" + name] = str(value)
    return variables


def counter(folder):
    """Makes the file in which a program and its children count together."""
    path = pathlib.Path(folder) / "count"
    path.write_bytes(bytes(8))
    return path


def read_log(path):
    """The steps in the order of their numbers; none where there is no log."""
    if not os.path.exists(path):
        return []
    with open(path, encoding="utf-8", errors="surrogateescape") as log:
        rows = [line.rstrip("\n").split("\t") for line in log]
    return sorted(Step(int(number), *rest) for number, *rest in rows)


def run_with(command, paths, children=False, timeout_s=120, given=None, cwd=None, **fault):
    """Runs a command to its end; `fault` as in `surroundings`, none without `at`.

    children  whether the programs that it starts count, too
    given     text for its standard input
    """
    with tempfile.TemporaryDirectory() as folder:
        log = pathlib.Path(folder).resolve() / "log"
        variables = surroundings(paths, log, children=counter(folder) if children else None,
                                 **fault)
        done = subprocess.run([str(word) for word in command], env=variables, cwd=cwd,
                              input=given or "", stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                              encoding="utf-8", errors="replace", timeout=timeout_s, check=False)
        return Run(done.returncode, done.stdout, done.stderr, read_log(log))


def steps(command, paths, **how):
    """How many steps a command makes without a fault; `how` as for `run_with`."""
    return len(run_with(command, paths, **how).steps)


def told(kind, at, run):
    """A line for messages: the fault, its step, how the program ended and what it said."""
    hit = [f"{step.call} {step.path}" for step in run.steps if step.number == at]
    where = f"{kind} at step {at} ({hit[0]})" if hit else f"no fault ({kind}, {at - 1} steps)"
    return f"{where}: exit code {run.code}, {run.errors.strip() or 'no message'}"


def each_step(make_state, command, check, kinds=("error:EIO",), paths=None, name=None, every=1,
              **how):
    """Lets every step of a command have a fault, one a run, each run with a fresh folder.

    make_state(folder)      fills the folder as the command needs it
    command(folder)         the words of the command
    check(folder, run, what)  raises where the outcome is wrong; `what` describes it. It also gets
                            the run at the end of each kind, which no fault has touched.
    kinds                   kinds of the shim; "error:ENOSPC" names the error as well
    paths(folder)           what counts; otherwise the folder
    name                    begins the line that is printed at the end
    every                   for short forms: only every so-many-th step, beginning with another one
                            for each kind
    how                     as for `run_with`

    Returns the number of steps of each kind. Fails where nothing counts, and after MANY_STEPS.
    """
    counts = {}
    for place, kind in enumerate(kinds):
        word, _, errno = kind.partition(":")
        first = 1 + place % every
        for at in range(first, MANY_STEPS + 2, every):
            with tempfile.TemporaryDirectory() as keeper:
                folder = pathlib.Path(keeper).resolve()
                make_state(folder)
                run = run_with(command(folder), paths(folder) if paths else [f"{folder}/"], at=at,
                               kind=word, errno=errno or "EIO", **how)
                check(folder, run, told(kind, at, run))
                if len(run.steps) < at:
                    break
        else:
            raise AssertionError(f"{kind}: more than {MANY_STEPS} steps")
        if not run.steps:
            raise AssertionError(f"{kind}: the command makes no step that counts")
        counts[kind] = len(range(first, at, every))
    told_counts = ", ".join(f"{count} steps with {kind}" for kind, count in counts.items())
    print(f"{name or make_state.__name__}: {told_counts}", flush=True)
    return counts

"""How many instructions fixed pieces of work take, as valgrind's callgrind counts them: a guard of
performance that a busy machine does not disturb. More than instructions.json allows is a failure;
much less is one, too, so that what was gained is not lost again unseen.

instructions_test.py COUNT_WORK [--write]: with --write the counts are put down as they are now,
which is for a change that is meant. Counts hold for the compiler named there; with another one the
test says so and holds nothing.
"""

import json
import pathlib
import re
import subprocess
import sys
import tempfile

COUNTS = pathlib.Path(__file__).with_name("instructions.json")
MARGIN = 0.05
DONE = {"decode": 29_997, "store": 20_000, "follow": 21_600, "analyse": 1}


def compiler():
    return subprocess.run(["c++", "-dumpfullversion"], check=True, capture_output=True,
                          encoding="ascii").stdout.strip()


def count(program, work):
    """@return instructions within counted_work()"""
    with tempfile.TemporaryDirectory(prefix="nestcup-work-") as folder:
        done = subprocess.run(
            ["valgrind", "--tool=callgrind", "--toggle-collect=counted_work",
             f"--callgrind-out-file={folder}/out", program, work, folder],
            check=True, capture_output=True, encoding="utf-8")
    if int(done.stdout) != DONE[work]:
        raise RuntimeError(f"{work} came to {done.stdout.strip()}, not {DONE[work]}")
    return int(re.search(r"Collected : (\d+)", done.stderr).group(1))


def main(program, *options):
    known = json.loads(COUNTS.read_text(encoding="ascii")) if COUNTS.exists() else {}
    here = compiler()
    counts = {work: count(program, work) for work in DONE}
    if "--write" in options:
        text = json.dumps({"compiler": here, "instructions": counts}, indent=2)
        COUNTS.write_text(text + "\n", encoding="ascii")
        return 0
    if known["compiler"] != here:
        print(f"the counts are of g++ {known['compiler']}, this is {here}: nothing to hold")
        return 77
    failed = 0
    for work, instructions in counts.items():
        before = known["instructions"][work]
        moved = instructions / before - 1.0
        failed += abs(moved) > MARGIN
        print(f"{work}: {instructions} instructions, {before} expected ({moved:+.1%})")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

"""Speed and accuracy beside a general-purpose fit of the same model by SciPy, in one run.

bench_scipy.py WRITE_FITS [TRIALS]: one figure a line: name, value, unit. Times are processor time
of one thread on both sides, so that other work on the machine does not decide the ratio.
"""

import json
import os
import pathlib
import subprocess
import sys
import tempfile
import time

os.environ["OPENBLAS_NUM_THREADS"] = "1"  # before numpy is loaded

import numpy

from scipy_course import RISE, Fit


def written(program, kind, count):
    with tempfile.TemporaryDirectory(prefix="nestcup-fits-") as folder:
        subprocess.run([program, folder, str(count), "11", kind], check=True)
        return [json.loads(path.read_text(encoding="ascii"))
                for path in sorted(pathlib.Path(folder).glob("*.json"))]


def best_time_s(work, turns=5):
    times = []
    for _ in range(turns):
        begin = time.process_time()
        work()
        times.append(time.process_time() - begin)
    return min(times)


def main():
    program = sys.argv[1]
    trials = int(sys.argv[2]) if len(sys.argv) > 2 else 200
    speed = written(program, "speed", 1)[0]
    fit = Fit(speed)

    def whole():
        fit.uncertainties(fit.least_squares().x)
    scipy_s = best_time_s(whole)
    print(f"speed.readings {len(speed['time_s'])} 1")
    print(f"speed.analysis {speed['analysis_s'] * 1e3:.4g} ms")
    print(f"speed.scipy_fit {scipy_s * 1e3:.4g} ms")
    print(f"speed.scipy_over_analysis {scipy_s / speed['analysis_s']:.4g} 1")
    own, other = [], []
    for trial in written(program, "fine", trials):
        own.append(abs(trial["rise_K"] - trial["truth_rise_K"]))
        other.append(abs(Fit(trial).least_squares().x[RISE] - trial["truth_rise_K"]))
    print(f"scipy.error_median {1e3 * numpy.median(other):.4g} mK")
    print(f"scipy.error_over_ours {numpy.median(other) / numpy.median(own):.4g} 1")


if __name__ == "__main__":
    main()

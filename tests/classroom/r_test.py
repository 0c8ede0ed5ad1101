"""The statistics of a class beside those of R (stats and MASS), on drawn classes.

r_test.py WRITE_FIGURES RSCRIPT
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

WRITE_FIGURES, RSCRIPT = sys.argv[1], sys.argv[2]
del sys.argv[1:]
HERE = pathlib.Path(__file__).parent
NAMES = ["median", "scaled_mad", "robust_mean", "robust_sd", "repeatability_sd", "between_sd",
         "reproducibility_sd", "probability", "grubbs_one.statistic",
         "grubbs_one.critical_5_percent", "grubbs_one.critical_1_percent", "grubbs_two.statistic",
         "cochran.statistic", "cochran.critical_5_percent", "cochran.critical_1_percent"]


def ours():
    text = subprocess.run([WRITE_FIGURES], check=True, capture_output=True, text=True).stdout
    return [json.loads(line) for line in text.splitlines()]


def theirs(sets):
    with tempfile.NamedTemporaryFile("w", suffix=".csv") as file:
        file.write("set,bench,value\n")
        for number, one in enumerate(sets):
            for bench, group in enumerate(one["groups"]):
                file.writelines(f"{number},{bench},{value!r}\n" for value in group)
        file.flush()
        text = subprocess.run([RSCRIPT, "--vanilla", HERE / "figures.R", file.name], check=True,
                              capture_output=True, text=True).stdout
    return [dict(zip(NAMES, map(float, line.split()))) for line in text.splitlines()]


def figure(one, name):
    for part in name.split("."):
        one = one[part]
    return one


class BesideR(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.ours = ours()
        cls.theirs = theirs(cls.ours)

    def test_every_set_is_there(self):
        self.assertEqual(len(self.ours), 40)
        self.assertEqual(len(self.theirs), 40)

    def test_figures_agree(self):
        for number, (mine, other) in enumerate(zip(self.ours, self.theirs)):
            for name in NAMES:
                with self.subTest(set=number, figure=name):
                    delta = 1e-8 * max(1.0, abs(other[name]))
                    self.assertAlmostEqual(figure(mine, name), other[name], delta=delta)

    def test_wild_benches_are_in_the_sets(self):
        wild = [one for one in self.ours
                if one["grubbs_one"]["statistic"] > one["grubbs_one"]["critical_1_percent"]]
        self.assertGreaterEqual(len(wild), 5)


if __name__ == "__main__":
    unittest.main()

"""The project's fit against SciPy's of the same model on the same readings: rise and mixing time
within 1e-3 u, uncertainties within 1e-3 of themselves.

scipy_test.py WRITE_FITS
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import unittest

import numpy

from scipy_course import MIXING, RISE, Fit

WRITE_FITS = sys.argv.pop(1)
SEED = "7"


def fits(kind, count):
    with tempfile.TemporaryDirectory(prefix="nestcup-fits-") as folder:
        subprocess.run([WRITE_FITS, folder, str(count), SEED, kind], check=True)
        for path in sorted(pathlib.Path(folder).glob("*.json")):
            yield json.loads(path.read_text(encoding="ascii"))


class Agreement(unittest.TestCase):
    def check(self, kind, count):
        for number, ours in enumerate(fits(kind, count)):
            with self.subTest(kind=kind, number=number):
                fit = Fit(ours)
                own = numpy.array(ours["parameters"])
                if fit.rounded:
                    best = fit.most_likely(own)
                    # SciPy must not have found a better place.
                    self.assertGreater(fit.cost(best), fit.cost(own) - 1e-3)
                else:
                    # From our end, too: a pour shorter than the interval makes several hollows.
                    found = fit.least_squares([own])
                    best = found.x
                    self.assertGreater(found.cost, 0.5 * numpy.sum(fit.residuals(own) ** 2) - 1e-3)
                u = fit.uncertainties(best)
                self.assertLess(abs(best[RISE] - ours["rise_K"]), 1e-3 * u[RISE])
                self.assertLess(abs(best[MIXING] - ours["mixing_s"]), 1e-3 * u[MIXING])
                self.assertLess(abs(u[RISE] / ours["u_rise_K"] - 1.0), 1e-3)
                self.assertLess(abs(u[MIXING] / ours["u_mixing_s"] - 1.0), 1e-3)

    def test_fine_displays(self):
        self.check("fine", 12)

    def test_coarse_displays(self):
        self.check("coarse", 4)


if __name__ == "__main__":
    unittest.main()

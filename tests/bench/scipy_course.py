"""The course of a mixing written down anew from its formulas (core/analysis/METHOD.md), and its fit
by SciPy: what the project's own fit is held against."""

import numpy
import scipy.optimize
import scipy.stats

START, REST, LOG_RATE, LOG_RATIO, RISE, MIXING, LOG_POUR, LOG_RELEASE, LOG_LAG = range(9)


def answer(time_s, a, b, k):
    """Inverse transform of a b / (s (s + a) (s + b) (s + k)): residues at the four poles."""
    t = numpy.maximum(time_s, 0.0)
    total = numpy.full_like(t, 1.0 / k)
    poles = [-a, -b, -k]
    for i, pole in enumerate(poles):
        others = [pole - other for j, other in enumerate(poles) if j != i]
        total += a * b * numpy.exp(pole * t) / (pole * others[0] * others[1])
    return numpy.where(time_s > 0.0, total, 0.0)


def course(p, time_s):
    k = numpy.exp(p[LOG_RATE])
    fore_k = k * numpy.exp(p[LOG_RATIO])
    pour, release, lag = numpy.exp(p[LOG_POUR]), numpy.exp(p[LOG_RELEASE]), numpy.exp(p[LOG_LAG])
    a, b = 1.0 / release, 1.0 / lag
    if abs(a - b) < 2e-3 * numpy.sqrt(a * b):  # two nearly equal delays count as two unlike ones
        middle, side = numpy.sqrt(a * b), -1.0 if a < b else 1.0
        a, b = middle * (1.0 + side * 1e-3), middle * (1.0 - side * 1e-3)
    away = p[START] - p[REST]
    since = time_s - p[MIXING]
    fore = p[REST] + away * numpy.exp(-fore_k * since) / (1.0 - fore_k * lag)
    late = numpy.maximum(since, 0.0)
    seen_fore, seen_after = 1.0 / (1.0 - fore_k * lag), 1.0 / (1.0 - k * lag)
    kept = seen_after * numpy.exp(-k * late) + (seen_fore - seen_after) * numpy.exp(-late / lag)
    surplus = (fore_k - k) * pour
    rise = p[RISE] * (1.0 - surplus / (6.0 + 24.0 * release / pour)) - 0.5 * surplus * away
    share = (answer(since, a, b, k) - answer(since - pour, a, b, k)) / pour
    return numpy.where(since < 0.0, fore, p[REST] + away * kept + rise * share)


class Fit:
    """One trace and what is known beforehand, as write_fits writes them."""

    def __init__(self, data):
        self.time_s = numpy.array(data["time_s"])
        self.cup_degC = numpy.array(data["cup_degC"])
        self.noise_K, self.step_K = data["noise_K"], data["step_K"]
        self.mean = numpy.array(data["prior_mean"])
        self.weight = numpy.array([0.0 if u is None else 1.0 / u for u in data["prior_u"]])
        self.rounded = data["rounded"]
        self.start_degC, self.hint_s = data["start_degC"], data["hint_s"]

    def prior(self, p):
        return self.weight * (p - self.mean)

    def residuals(self, p):
        scatter = numpy.hypot(self.noise_K, self.step_K / numpy.sqrt(12.0))
        misfit = (self.cup_degC - course(p, self.time_s)) / scatter
        return numpy.concatenate([misfit, self.prior(p)])

    def cost(self, p):
        """Minus the logarithm of the posterior: probabilities of the rounding intervals."""
        low = (self.cup_degC - 0.5 * self.step_K - course(p, self.time_s)) / self.noise_K
        high = low + self.step_K / self.noise_K
        flip = low > 0.0
        low, high = numpy.where(flip, -high, low), numpy.where(flip, -low, high)
        above, below = scipy.stats.norm.logcdf(high), scipy.stats.norm.logcdf(low)
        log_p = above + numpy.log1p(-numpy.exp(numpy.minimum(below - above, -1e-15)))
        return 0.5 * numpy.sum(self.prior(p) ** 2) - numpy.sum(log_p)

    def starts(self):
        """Least-squares starts taken off the trace alone, as a general-purpose user would."""
        for release_s in (1.0, 5.0, 18.0):
            p = self.mean.copy()
            p[START], p[RISE] = self.start_degC, self.cup_degC[-1] - self.start_degC
            p[MIXING], p[LOG_RELEASE] = self.hint_s - 2.0, numpy.log(release_s)
            yield p

    def least_squares(self, further_starts=()):
        fits = [scipy.optimize.least_squares(self.residuals, start, method="lm", x_scale="jac",
                                             ftol=1e-12, xtol=1e-12, gtol=1e-12)
                for start in [*self.starts(), *further_starts]]
        return min(fits, key=lambda fit: fit.cost)

    def most_likely(self, start):
        """From a start onwards, for rounded readings: simplex and quasi-Newton by turns."""
        scale = numpy.array([0.01, 0.1, 0.1, 0.1, 0.01, 0.1, 0.1, 0.1, 0.1])
        best, lowest = start, numpy.inf
        for _ in range(6):
            found = scipy.optimize.minimize(lambda q: self.cost(best + q * scale), numpy.zeros(9),
                                            method="BFGS", options={"gtol": 1e-6})
            best = best + found.x * scale
            if lowest - found.fun < 1e-9:
                break
            lowest = found.fun
        return best

    def slopes(self, p):
        columns = []
        for i in range(9):
            up, down = p.copy(), p.copy()
            up[i] += 1e-5
            down[i] -= 1e-5
            columns.append((course(up, self.time_s) - course(down, self.time_s)) / 2e-5)
        return numpy.stack(columns, axis=1)

    def information_per_K2(self, p):
        """Fisher information of each reading about its expected temperature."""
        if not self.rounded:
            return 1.0 / (self.noise_K ** 2 + self.step_K ** 2 / 12.0)
        expected = course(p, self.time_s)
        reach = int(numpy.ceil(9.0 * self.noise_K / self.step_K)) + 1
        total = numpy.zeros_like(expected)
        steps_away = numpy.round((expected - self.cup_degC) / self.step_K)
        nearest = self.cup_degC + self.step_K * steps_away
        for n in range(-reach, reach + 1):
            low = (nearest + (n - 0.5) * self.step_K - expected) / self.noise_K
            high = low + self.step_K / self.noise_K
            below, above = scipy.stats.norm.cdf, scipy.stats.norm.sf
            probability = numpy.where(low > 0.0, above(low) - above(high), below(high) - below(low))
            change = scipy.stats.norm.pdf(low) - scipy.stats.norm.pdf(high)
            good = probability > 1e-250
            total[good] += change[good] ** 2 / probability[good]
        return total / self.noise_K ** 2

    def uncertainties(self, p):
        """Standard uncertainties of all parameters, from the expected information."""
        slopes = self.slopes(p)
        weights = self.information_per_K2(p)
        information = (slopes.T * weights) @ slopes + numpy.diag(self.weight ** 2)
        return numpy.sqrt(numpy.diag(numpy.linalg.inv(information)))

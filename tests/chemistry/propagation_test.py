"""A sheet worked out a second time, from core/chemistry/METHOD.md alone, with the general library
uncertainties (Debian: python3-uncertainties) and by Monte Carlo (JCGM 101:2008).

propagation_test.py NESTCUP
"""

import json
import math
import pathlib
import subprocess
import sys
import tempfile
import tomllib
import unittest

import numpy
from iapws import IAPWS95
from scipy import optimize, stats
from uncertainties import ufloat

NESTCUP = sys.argv.pop(1)

SHEET = """
[sheet]
title = "Magnesium oxide, every amount shared with something"
[[instrument]]
name = "cylinder"
u_volume_mL = 0.4
[[instrument]]
name = "balance"
u_mass_g = 0.003
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 1.00
u_concentration_mol_per_L = 0.01
[[stock]]
name = "base"
substance = "NaOH(aq)"
concentration_mol_per_L = 1.20
u_concentration_mol_per_L = 0.015
[[trial]]
name = "warm"
purpose = "calorimeter constant"
cup = { substance = "water", volume_mL = 50.0, u_volume_mL = 0.2, by = "cylinder" }
added = { substance = "water", volume_mL = 50.0, by = "cylinder", temperature_degC = 61.0, \
u_temperature_K = 0.3, left_behind_mL = 0.5, u_left_behind_mL = 0.15 }
typed = [{ cup_degC = 21.0, final_degC = 39.0, u_degC = 0.1 },
         { cup_degC = 21.3, final_degC = 39.2, u_degC = 0.1 }]
[[trial]]
name = "neutralisation"
purpose = "reaction"
equation = "H+(aq) + OH-(aq) -> H2O(l)"
cup = { stock = "acid", volume_mL = 50.0, by = "cylinder" }
added = { stock = "base", volume_mL = 50.0, by = "cylinder" }
typed = [{ cup_degC = 21.5, added_degC = 21.8, final_degC = 27.7, u_degC = 0.1 },
         { cup_degC = 21.4, added_degC = 21.2, u_degC = 0.02, readings = [[20, 27.2], [40, 27.48], \
[60, 27.36], [80, 27.39], [100, 27.31], [120, 27.30]] }]
[[trial]]
name = "oxide"
purpose = "reaction"
equation = "MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)"
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder" }
added = { substance = "MgO(s)", mass_g = 0.700, by = "balance", temperature_degC = 22.5, \
u_temperature_K = 0.5 }
typed = { cup_degC = 21.0, final_degC = 26.6, u_degC = 0.05 }
[[trial]]
name = "metal"
purpose = "reaction"
equation = "Mg(s) + 2 H+(aq) -> Mg+2(aq) + H2(g)"
cup = { stock = "acid", volume_mL = 100.0, by = "cylinder" }
added = { substance = "Mg(s)", mass_g = 0.250, by = "balance", temperature_degC = 20.5, \
u_temperature_K = 0.5 }
typed = [{ cup_degC = 21.2, final_degC = 31.6, u_degC = 0.05 },
         { cup_degC = 21.1, final_degC = 31.9, u_degC = 0.05 }]
[cycle]
target = "Mg(s) + 1/2 O2(g) -> MgO(s)"
from = ["oxide", "metal"]
accepted = ["H2(g) + 1/2 O2(g) -> H2O(l)"]
[conventions]
density_g_per_mL = 1.00
heat_capacity_J_per_g_K = 4.184
"""

# Middles of the standard atomic weights' intervals: IUPAC 2021.
H = (1.00784 + 1.00811) / 2
O = (15.99903 + 15.99977) / 2
MG = (24.304 + 24.307) / 2
C = 4.184
# The table of accepted values is data that both read.
TABLE = pathlib.Path(__file__).parents[2] / "core/matter/accepted.toml"
CP = dict(tomllib.loads(TABLE.read_text(encoding="utf-8"))["heat_capacities"]["J_per_mol_K"])
CHANGES = {
    "neutralisation": {"H+(aq)": -1, "OH-(aq)": -1, "H2O(l)": 1},
    "oxide": {"MgO(s)": -1, "H+(aq)": -2, "Mg+2(aq)": 1, "H2O(l)": 1},
    "metal": {"Mg(s)": -1, "H+(aq)": -2, "Mg+2(aq)": 1, "H2(g)": 1},
}
# CODATA 1989, half of the stated range.
WATER_KJ, U_WATER_KJ = -285.830, 0.020
OXIDE_KJ, U_OXIDE_KJ = -601.60, 0.15
DRAWS = 200000
# Enthalpy of vaporisation within 1.3e-4 and vapour pressure within 8e-5 of IAPWS-95 (LIQUIDS.md).
WET = 1.3e-4 + 8e-5 * 101.3 / 96.5


def vapour_kJ_per_mol(degC):
    """What evaporates into a mol of gas that leaves saturated, from IAPWS-95."""
    steam, water = IAPWS95(T=degC + 273.15, x=1), IAPWS95(T=degC + 273.15, x=0)
    kPa = 1e3 * steam.P
    return 1e-3 * steam.M * (steam.h - water.h) * kPa / (101.325 - kPa)


class Vapour:
    """The same between 29 and 35 degC for anything that can be added and multiplied."""

    def __init__(self):
        degC = numpy.linspace(29.0, 35.0, 13)
        table = [vapour_kJ_per_mol(float(at)) for at in degC]
        self.coefficients = numpy.polyfit(degC - 32.0, table, 4)

    def __call__(self, degC):
        result = 0.0
        for coefficient in self.coefficients:
            result = result * (degC - 32.0) + coefficient
        return result


VAPOUR = Vapour()


class Errors:
    """Errors by name, each the same wherever it is asked for."""

    def __init__(self, make):
        self.make = make
        self.known = {}

    def __call__(self, name, source, u, shape="normal"):
        if name not in self.known:
            self.known[name] = (self.make(name, u, shape), source)
        return self.known[name][0]


def linear(name, u, _):
    return ufloat(0.0, u, name)


class Draws:
    def __init__(self):
        self.random = numpy.random.default_rng(20091)

    def __call__(self, _, u, shape):
        if shape == "rectangular":
            return self.random.uniform(-math.sqrt(3.0) * u, math.sqrt(3.0) * u, DRAWS)
        return self.random.normal(0.0, u, DRAWS)


def carried_back(readings, u_degC):
    """Value, u and degrees of freedom at time 0 of the line through `readings`."""
    t, degC = numpy.array(readings).T
    slope, at_zero = numpy.polyfit(t, degC, 1)
    scatter = math.sqrt(numpy.sum((degC - at_zero - slope * t) ** 2) / (len(t) - 2))
    width = math.sqrt(1.0 / len(t) + t.mean() ** 2 / numpy.sum((t - t.mean()) ** 2))
    if scatter > u_degC:
        return at_zero, width * scatter, len(t) - 2
    return at_zero, width * u_degC, math.inf


class Work:
    """The sheet with one way of making errors; quantities by run."""

    def __init__(self, make):
        self.e = Errors(make)
        self.dof = {}

    def typed(self, run, cup_degC, final_degC, u_degC, added_degC=None, u_final=None):
        read = lambda what, degC, u: degC + self.e(f"{run} {what}", "temperature", u)
        final = read("final", final_degC, u_final if u_final else u_degC)
        added = None if added_degC is None else read("added", added_degC, u_degC)
        return read("cup", cup_degC, u_degC), final, added

    def cylinder(self, mL):
        return mL + self.e("cylinder", "volume", 0.4)

    def warm(self, run, cup_degC, final_degC):
        cup, final, _ = self.typed(run, cup_degC, final_degC, 0.1)
        added = 61.0 + self.e("warm added", "temperature", 0.3)
        cold_g = self.cylinder(50.0) + self.e(f"{run} volume", "volume", 0.2)
        hot_g = self.cylinder(50.0) - 0.5 + self.e("warm left", "left behind", 0.15)
        rise = final - cup
        return -(hot_g * C * (cup - added) + (cold_g + hot_g) * C * rise) / rise

    def strength(self, name, mol_per_L, u):
        return mol_per_L + self.e(name, "concentration", u)

    def neutralisation(self, constant, cup, final, added):
        acid_g, base_g = self.cylinder(50.0), self.cylinder(50.0)
        mol = 1e-3 * acid_g * self.strength("acid", 1.00, 0.01)
        heat = base_g * C * (cup - added) + ((acid_g + base_g) * C + constant) * (final - cup)
        return heat, mol

    def in_acid(self, name, run, constant, cup_degC, final_degC):
        """Heat and extent of the oxide or the metal, and what wet gas carries of the heat."""
        cup, final, _ = self.typed(run, cup_degC, final_degC, 0.05)
        grams = {"oxide": 0.700, "metal": 0.250}[name] + self.e("balance", "mass", 0.003)
        g_per_mol, Cp, degC = {"oxide": (MG + O, CP["MgO(s)"], 22.5),
                               "metal": (MG, CP["Mg(s)"], 20.5)}[name]
        added = degC + self.e(f"{name} added", "temperature", 0.5)
        mol = grams / g_per_mol
        solid = mol * Cp * (1.0 + self.e(f"Cp of {name}", "heat capacity", 0.02))
        after_g = self.cylinder(100.0) + grams
        wet = 0.0
        if name == "metal":
            after_g = after_g - mol * 2.0 * H
            quarter = self.e("vapour", "heat capacity", 0.25 / math.sqrt(3.0), "rectangular")
            wet = 1e3 * mol * VAPOUR(final) * (1.0 + quarter)
        heat = solid * (cup - added) + (after_g * C + constant) * (final - cup) + wet
        return heat, mol, wet

    def enthalpy_25(self, name, enthalpy, at_degC):
        """At 25 degC where all heat capacities are known, else as it is."""
        if not all(species in CP for species in CHANGES[name]):
            return enthalpy
        change = sum(count * CP[species] for species, count in CHANGES[name].items())
        change = change + self.e(f"delta Cp of {name}", "heat capacity",
                                 max(10.0, 0.1 * abs(change)))
        return enthalpy + 1e-3 * change * (25.0 - at_degC)


def parts(value):
    """By name, what one standard uncertainty of each error puts the value off by (its size)."""
    return {variable.tag: u for variable, u in value.error_components().items() if u > 0.0}


def pooled(values):
    """Weights, and the standard deviation between repeats that they need beyond their own."""
    names = [name for value in values for name in parts(value)]
    own = numpy.array([sum(u * u for name, u in parts(value).items() if names.count(name) == 1)
                       for value in values])
    x = numpy.array([value.n for value in values])

    def chi_squared(between):
        w = 1.0 / (own + between)
        return float(numpy.sum(w * (x - numpy.sum(w * x) / numpy.sum(w)) ** 2))

    between = 0.0
    if stats.chi2.sf(chi_squared(0.0), len(x) - 1) < 0.05:
        excess = lambda between: chi_squared(between) - (len(x) - 1)
        between = optimize.brentq(excess, 0.0, float(numpy.sum((x - x[0]) ** 2)), xtol=1e-300,
                                  rtol=1e-14)
    w = 1.0 / (own + between)
    w /= w.sum()
    return w, math.sqrt(between * float(numpy.sum(w * w)))


def mean(weights, values):
    return sum(w * value for w, value in zip(weights, values))


FINAL = carried_back([[40, 27.48], [60, 27.36], [80, 27.39], [100, 27.31], [120, 27.30]], 0.02)


def work_out(make, weights=None):
    """All results by name; weights as a first pass found them, or found here."""
    work = Work(make)
    found = dict(weights or {})

    def pool(name, values):
        if name not in found:
            found[name] = pooled(values)
        w, u_scatter = found[name]
        scatter = work.e(f"{name} scatter", "scatter of repeats", u_scatter) if u_scatter else 0.0
        return mean(w, values) + scatter, w

    def read(name):
        return work.e.known[name][0]

    out = {}
    constant, _ = pool("warm", [work.warm("warm 1", 21.0, 39.0), work.warm("warm 2", 21.3, 39.2)])
    runs = [work.neutralisation(constant, *work.typed("n 1", 21.5, 27.7, 0.1, 21.8)),
            work.neutralisation(constant, *work.typed("n 2", 21.4, FINAL[0], 0.02, 21.2,
                                                      FINAL[1]))]
    out["constant"] = constant
    out["neutralisation"], w = pool("neutralisation", [-1e-3 * q / n for q, n in runs])
    out["heat_J"], out["mol"] = (mean(w, column) for column in zip(*runs))
    at_degC = mean(w, [21.5 + read("n 1 cup"), 21.4 + read("n 2 cup")])
    out["at_degC"] = float(mean(w, [21.5, 21.4]))
    out["neutralisation 25"] = work.enthalpy_25("neutralisation", out["neutralisation"], at_degC)
    heat, mol, _ = work.in_acid("oxide", "oxide 1", constant, 21.0, 26.6)
    out["oxide"] = -1e-3 * heat / mol
    runs = [work.in_acid("metal", "metal 1", constant, 21.2, 31.6),
            work.in_acid("metal", "metal 2", constant, 21.1, 31.9)]
    out["metal"], w = pool("metal", [-1e-3 * q / n for q, n, _ in runs])
    out["wet_J"] = mean(w, [wet for _, _, wet in runs])
    water = WATER_KJ + work.e("formation of water", "accepted values", U_WATER_KJ)
    at_degC = mean(w, [21.2 + read("metal 1 cup"), 21.1 + read("metal 2 cup")])
    oxide = work.enthalpy_25("oxide", out["oxide"], 21.0 + read("oxide 1 cup"))
    out["cycle"] = work.enthalpy_25("metal", out["metal"], at_degC) - oxide + water
    accepted = OXIDE_KJ + work.e("formation of oxide", "accepted values", U_OXIDE_KJ)
    out["difference"] = out["cycle"] - accepted
    return out, found, {name: source for name, (_, source) in work.e.known.items()}


class Propagation(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "sheet.toml"
            path.write_text(SHEET, encoding="utf-8")
            printed = subprocess.run([NESTCUP, "results", "--sheet", str(path), "--json"],
                                     check=True, capture_output=True, text=True)
        cls.ours = json.loads(printed.stdout)
        cls.trials = {trial["name"]: trial for trial in cls.ours["trials"]}
        cls.theirs, cls.weights, cls.sources = work_out(linear)
        trials = cls.trials
        cls.pairs = {
            "constant": cls.ours["calorimeter_constant_J_per_K"],
            "heat_J": trials["neutralisation"]["heat_J"],
            "mol": trials["neutralisation"]["extent_mol"],
            "neutralisation": trials["neutralisation"]["delta_H_kJ_per_mol"],
            "neutralisation 25": trials["neutralisation"]["delta_H_25_kJ_per_mol"],
            "oxide": trials["oxide"]["delta_H_kJ_per_mol"],
            "metal": trials["metal"]["delta_H_kJ_per_mol"],
            "cycle": cls.ours["cycle"]["delta_H_kJ_per_mol"],
            "difference": cls.ours["cycle"]["accepted_kJ_per_mol"]["difference_kJ_per_mol"],
        }

    def near(self, ours, theirs, relative):
        self.assertLess(abs(ours - theirs), relative * abs(theirs))

    def test_values_and_uncertainties(self):
        # With conventions all is linear or bilinear in each input, so that slopes over +-u are the
        # derivatives. What wet gas carries is not, and its formulas differ from IAPWS-95 by up to
        # WET of it: some 1e-6 of the metal's enthalpy, and more of the small difference.
        by_vapour = {"metal": 2e-6, "cycle": 2e-6, "difference": 2e-4}
        for name, ours in self.pairs.items():
            with self.subTest(name):
                self.near(ours["value"], self.theirs[name].n, by_vapour.get(name, 1e-9))
                self.near(ours["u"], self.theirs[name].s, 1e-6)
        self.near(self.trials["neutralisation"]["at_degC"], self.theirs["at_degC"], 1e-9)
        self.near(self.trials["metal"]["wet_gas_J"]["value"], self.theirs["wet_J"].n, WET)
        self.near(self.trials["metal"]["wet_gas_J"]["u"], self.theirs["wet_J"].s, WET)

    def test_monte_carlo(self):
        drawn, _, _ = work_out(Draws(), self.weights)
        for name, ours in self.pairs.items():
            with self.subTest(name):
                self.near(ours["u"], float(numpy.std(drawn[name])), 0.01)
                self.assertLess(abs(ours["value"] - float(numpy.mean(drawn[name]))),
                                0.03 * ours["u"])

    def test_budgets(self):
        for name, ours in (("neutralisation", self.trials["neutralisation"]["budget"]),
                           ("oxide", self.trials["oxide"]["budget"]),
                           ("metal", self.trials["metal"]["budget"]),
                           ("cycle", self.ours["cycle"]["budget"])):
            theirs = {}
            for error, u in parts(self.theirs[name]).items():
                source = "calorimeter constant" if error.startswith("warm") else self.sources[error]
                theirs[source] = theirs.get(source, 0.0) + u * u
            with self.subTest(name):
                self.assertEqual({line["source"] for line in ours}, set(theirs))
                for line in ours:
                    wet = line["source"] == "heat capacity" and name in ("metal", "cycle")
                    self.near(line["u"], math.sqrt(theirs[line["source"]]), WET if wet else 1e-6)

    def test_pooling(self):
        # The metal's repeats lie apart, the others do not.
        self.assertGreater(self.weights["metal"][1], 0.0)
        self.assertEqual(self.weights["warm"][1], 0.0)
        self.assertEqual(self.weights["neutralisation"][1], 0.0)
        self.assertLess(self.trials["metal"]["consistency"]["probability"], 0.05)

    def test_degrees_of_freedom(self):
        finite = {"n 2 final": FINAL[2], "metal scatter": 1}
        self.assertEqual(FINAL[2], 3)
        for name in ("neutralisation", "metal", "cycle"):
            components = parts(self.theirs[name])
            fourth = sum(components[error] ** 4 / dof for error, dof in finite.items()
                         if error in components)
            with self.subTest(name):
                self.near(self.pairs[name]["dof"], self.theirs[name].s ** 4 / fourth, 1e-5)
        self.assertNotIn("dof", self.pairs["constant"])

    def test_closure(self):
        difference = self.theirs["difference"]
        self.near(self.ours["cycle"]["E_n"], difference.n / (2.0 * difference.s), 2e-4)
        self.assertEqual([term["multiplier"] for term in self.ours["cycle"]["terms"]],
                         ["-1", "1", "1"])


if __name__ == "__main__":
    unittest.main()

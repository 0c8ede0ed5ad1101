// Runs made up from a known answer: the final temperature is found here, from the balance of heat
// with heat capacities integrated over temperature, and the sheet must give the answer back.
#include <fmt/format.h>

#include <cmath>
#include <functional>

#include "core/chemistry/heat_balance.hpp"
#include "core/matter/elements.hpp"
#include "core/matter/solution.hpp"
#include "core/matter/water.hpp"
#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

constexpr double cup_J_per_K = 30.0;

/// Where f is 0, between two temperatures with f of opposite sign.
double root(const std::function<double(double)>& f, double low, double high) {
  const bool rises = f(high) > 0.0;
  REQUIRE((f(low) > 0.0) != rises);
  for (int step = 0; step < 100; ++step) {
    const double middle = 0.5 * (low + high);
    ((f(middle) > 0.0) == rises ? high : low) = middle;
  }
  return 0.5 * (low + high);
}

/// Heat (J) that takes something from one temperature to another, by Simpson's rule.
double warming_J(const std::function<double(double)>& J_per_K, double from, double to) {
  constexpr int parts = 40;
  const double step = (to - from) / parts;
  double sum = J_per_K(from) + J_per_K(to);
  for (int i = 1; i < parts; ++i) sum += (i % 2 == 1 ? 4.0 : 2.0) * J_per_K(from + i * step);
  return sum * step / 3.0;
}

std::function<double(double)> water(double g) {
  return [g](double degC) { return g * water_heat_capacity_J_per_g_K(degC).value(); };
}

/// Salt and acid (mol) in water (g).
std::function<double(double)> brine(double mol, double acid_mol, double water_g) {
  const std::vector<SpeciesAmount> salt{{dissolved_species("Na+(aq)").value(), mol},
                                        {dissolved_species("H+(aq)").value(), acid_mol},
                                        {dissolved_species("Cl-(aq)").value(), mol + acid_mol}};
  const Solution solution = Solution::of_amounts(salt, water_g).value();
  return [solution](double degC) { return solution.heat_capacity_J_per_K(degC); };
}

/// Acid and base by mass, with 5 % too much acid; 0.04 mol react.
struct Neutralisation {
  static constexpr double mol = 0.04;
  /// For 50.0 g each, of acid with 0.042 mol, and of base with 0.040 mol.
  std::string stocks() const {
    return fmt::format(
        "[[stock]]\nname = \"acid\"\nsubstance = \"HCl(aq)\"\nmass_fraction = {:.10f}\n"
        "[[stock]]\nname = \"base\"\nsubstance = \"NaOH(aq)\"\nmass_fraction = {:.10f}\n",
        1.05 * mol * g_per_mol("HCl(g)") / 50.0, mol * g_per_mol("NaOH(s)") / 50.0);
  }
  /// What is there in the end: 100 g of salt, acid left over, and water.
  std::function<double(double)> products() const {
    const double acid_mol = 0.05 * mol;
    return brine(mol, acid_mol,
                 100.0 - mol * g_per_mol("NaCl(s)") - acid_mol * g_per_mol("HCl(g)"));
  }
};

std::string trial(const std::string& name, const std::string& purpose, const std::string& keys,
                  double cup_degC, double final_degC) {
  return fmt::format(
      "[[trial]]\nname = \"{}\"\npurpose = \"{}\"\n{}\ntyped = {{ cup_degC = {:.10f}, final_degC = "
      "{:.10f} }}\n",
      name, purpose, keys, cup_degC, final_degC);
}

std::string warm_trial() {
  const double final_degC = root(
      [](double degC) {
        return warming_J(water(50.0), 60.0, degC) + warming_J(water(49.0), 20.0, degC) +
               cup_J_per_K * (degC - 20.0);
      },
      20.0, 60.0);
  return trial("warm", "calorimeter constant",
               "cup = { substance = \"water\", mass_g = 49.0 }\nadded = { substance = \"water\", "
               "mass_g = 50.0, temperature_degC = 60.0 }",
               20.0, final_degC);
}

std::string coil_trial() {
  const double final_degC = root(
      [](double degC) {
        return warming_J(water(100.0), 21.0, degC) + cup_J_per_K * (degC - 21.0) -
               9.0 * 1.3 * 400.0;
      },
      21.0, 60.0);
  return trial("coil", "electrical calibration",
               "cup = { substance = \"water\", mass_g = 100.0 }\nheater = { voltage_V = 9.0, "
               "current_A = 1.3, time_s = 400.0 }",
               21.0, final_degC);
}

/// The base comes 2 K warmer than the acid.
double neutralised_degC(double kJ_per_mol) {
  const Neutralisation reaction;
  const std::vector<SpeciesAmount> base{{dissolved_species("Na+(aq)").value(), 0.04},
                                        {dissolved_species("OH-(aq)").value(), 0.04}};
  const Solution added = Solution::of_amounts(base, 50.0 - 0.04 * g_per_mol("NaOH(s)")).value();
  return root(
      [&](double degC) {
        return warming_J([&](double at) { return added.heat_capacity_J_per_K(at); }, 24.0, 22.0) +
               warming_J(reaction.products(), 22.0, degC) + cup_J_per_K * (degC - 22.0) +
               1e3 * kJ_per_mol * Neutralisation::mol;
      },
      15.0, 60.0);
}

const std::string both_stocks =
    "cup = { stock = \"acid\", mass_g = 50.0 }\nadded = { stock = \"base\", mass_g = 50.0, "
    "temperature_degC = 24.0 }\nequation = \"H+(aq) + OH-(aq) -> H2O(l)\"";

const std::string no_constant = "[sheet]\ntitle = \"made up\"\n";

}  // namespace

TEST_CASE("warm water, a heater and a reference reaction give the same constant") {
  const std::string known =
      trial("known", "calorimeter constant", both_stocks + "\nreference_kJ_per_mol = -57.0", 22.0,
            neutralised_degC(-57.0));
  const Results results =
      worked_out(no_constant + Neutralisation().stocks() + warm_trial() + coil_trial() + known);
  for (const std::string name : {"warm", "coil", "known"}) {
    INFO(name);
    const auto& found = trial_of(results, name).constant_J_per_K;
    REQUIRE(found);
    CHECK(found->value() == Approx(cup_J_per_K).margin(0.01));
  }
  // All runs together count.
  REQUIRE(results.constant_J_per_K);
  CHECK(results.constant_J_per_K->value() == Approx(cup_J_per_K).margin(0.01));
}

TEST_CASE("the enthalpy of a reaction comes back, at the cup's temperature and at 25 degC") {
  const std::string sheet =
      sheet_head(cup_J_per_K) + Neutralisation().stocks() +
      trial("reaction", "reaction", both_stocks, 22.0, neutralised_degC(-55.0));
  const TrialResult result = only_trial(sheet);
  CHECK(delta_H(result) == Approx(-55.0).epsilon(1e-4));
  REQUIRE(result.at_degC);
  CHECK(*result.at_degC == Approx(22.0));
  // Kirchhoff's law with 75.291 - (0 - 148.5) J/(mol K) of water, H+ and OH- (CRC Handbook).
  REQUIRE(result.delta_H_25_kJ_per_mol);
  CHECK(result.delta_H_25_kJ_per_mol->value() == Approx(delta_H(result) + 0.223791 * 3.0));
  // 10 % of that is its uncertainty: 22.4 J/(mol K) over 3 K.
  const Measured carried = *result.delta_H_25_kJ_per_mol - *result.delta_H_kJ_per_mol;
  CHECK(carried.u() == Approx(0.0223791 * 3.0));  // the cup's temperature was typed as exact
  REQUIRE(result.extent_mol);
  CHECK(result.extent_mol->value() == Approx(0.04).epsilon(1e-6));
}

TEST_CASE("an endothermic reaction has the other sign") {
  const TrialResult result =
      only_trial(sheet_head(cup_J_per_K) + Neutralisation().stocks() +
                 trial("reaction", "reaction", both_stocks, 22.0, neutralised_degC(20.0)));
  CHECK(delta_H(result) == Approx(20.0).epsilon(1e-4));
  CHECK(heat_J(result) == Approx(-20.0e3 * 0.04).epsilon(1e-4));
}

TEST_CASE("the heat capacity of a hot solid comes back") {
  const double final_degC = root(
      [](double degC) {
        return 60.0 * 0.385 * (degC - 97.0) + warming_J(water(80.0), 21.0, degC) +
               cup_J_per_K * (degC - 21.0);
      },
      21.0, 97.0);
  const TrialResult result = only_trial(
      sheet_head(cup_J_per_K) +
      trial("block", "heat capacity",
            "cup = { substance = \"water\", mass_g = 80.0 }\nadded = { substance = \"block\", "
            "mass_g = 60.0, temperature_degC = 97.0 }",
            21.0, final_degC));
  REQUIRE(result.heat_capacity_J_per_g_K);
  CHECK(result.heat_capacity_J_per_g_K->value() == Approx(0.385).epsilon(1e-4));
}

TEST_CASE("the enthalpy of fusion comes back, from ice at 0 and below 0 degC") {
  for (const double ice_degC : {0.0, -12.0}) {
    INFO(ice_degC);
    const auto ice = [](double degC) { return 14.0 * ice_heat_capacity_J_per_g_K(degC).value(); };
    const double final_degC = root(
        [&](double degC) {
          return warming_J(water(90.0), 32.0, degC) + cup_J_per_K * (degC - 32.0) +
                 warming_J(ice, ice_degC, 0.0) + 14.0 * 333.42 + warming_J(water(14.0), 0.0, degC);
        },
        1.0, 32.0);
    const TrialResult result = only_trial(
        sheet_head(cup_J_per_K) +
        trial("ice", "fusion",
              fmt::format("cup = {{ substance = \"water\", mass_g = 90.0 }}\nadded = {{ substance "
                          "= \"ice\", mass_g = 14.0, temperature_degC = {} }}",
                          ice_degC),
              32.0, final_degC));
    REQUIRE(result.fusion_J_per_g);
    CHECK(result.fusion_J_per_g->value() == Approx(333.42).epsilon(1e-4));
  }
}

TEST_CASE("water mixed with water of its own temperature does not warm") {
  // The identity behind all: no heat, no difference, whatever the constant.
  Inputs inputs;
  HeatCapacityFlags flags;
  MixedRun run;
  run.cup_degC = run.added_degC = run.final_degC = 23.0;
  run.cup.water_g = 60.0;
  run.added.water_g = 40.0;
  Mixture all = run.cup;
  all += run.added;
  CHECK(heat_of_contents_J(run, all, inputs, flags).value() == 0.0);
  // Warm and cold water of the same heat capacity: what one loses the other gains.
  run.conventions = Conventions{1.0, 4.184};
  run.added_degC = 33.0;
  run.rise_K = 4.0;
  run.final_degC = 27.0;
  CHECK(heat_of_contents_J(run, all, inputs, flags).value() == Approx(0.0).margin(1e-9));
}

TEST_CASE("gas that leaves wet carries about 1.4 kJ/mol at 25 degC and 2.3 at 33 degC") {
  // Saturated vapour 3.17 and 5.03 kPa, 43.99 and 43.6 kJ/mol (steam tables, from memory).
  Inputs inputs;
  const Measured at_25 = heat_of_wet_gas_J(0.01, 25.0, inputs);
  const Measured at_33 = heat_of_wet_gas_J(0.01, 33.0, inputs);
  CHECK(at_25.value() == Approx(10.0 * 43.99 * 3.169 / (101.325 - 3.169)).epsilon(2e-3));
  CHECK(at_33.value() == Approx(10.0 * 43.6 * 5.035 / (101.325 - 5.035)).epsilon(5e-3));
  // Anything from three to five quarters of it, the same in both.
  CHECK(at_25.u() == Approx(at_25.value() * 0.25 / std::sqrt(3.0)));
  CHECK(covariance(at_25, at_33) == Approx(at_25.u() * at_33.u()));
  CHECK(heat_of_wet_gas_J(-0.01, 25.0, inputs).value() == 0.0);
}

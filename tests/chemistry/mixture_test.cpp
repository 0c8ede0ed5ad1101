#include "core/chemistry/mixture.hpp"

#include <cmath>

#include "core/chemistry/heat_capacity.hpp"
#include "core/matter/elements.hpp"
#include "tests/chemistry/worked.hpp"

using namespace nestcup;
using namespace nestcup::testing;

namespace {

const std::string stocks = R"toml([[instrument]]
name = "cylinder"
u_volume_mL = 0.5
[[stock]]
name = "acid"
substance = "HCl(aq)"
concentration_mol_per_L = 2.0
u_concentration_mol_per_L = 0.02
[[stock]]
name = "salt"
substance = "NaCl(aq)"
mass_fraction = 0.100
u_mass_fraction = 0.001
)toml";

/// A sheet whose only trial has these contents.
Sheet sheet_with(const std::string& cup, const std::string& added, const std::string& more = "") {
  const std::string text =
      sheet_head() + stocks +
      "[[trial]]\nname = \"oxide\"\npurpose = \"reaction\"\nequation = \"MgO(s) + 2 H+(aq) -> "
      "Mg+2(aq) + H2O(l)\"\ncup = { " +
      cup + " }\nadded = { " + added + " }\n" + more;
  const auto sheet = parse_sheet(text, "sheet.toml");
  INFO((sheet ? std::string() : sheet.error().text));
  REQUIRE(sheet);
  return *sheet;
}

const std::string oxide_to_add = "substance = \"MgO(s)\", mass_g = 0.806";

Mixture cup_of(const Sheet& sheet, Inputs& inputs, const std::string& run = "1",
               double degC = 20.0) {
  return mixture_of(*sheet.trials[0].cup, {sheet, "cup of oxide", run, degC}, inputs);
}

Equation balanced(const std::string& text) {
  return balanced_equation(text).value();
}

}  // namespace

TEST_CASE("a volume of a stock by concentration: volume times concentration, as ions") {
  const Sheet sheet =
      sheet_with("stock = \"acid\", volume_mL = 50.0, by = \"cylinder\"", oxide_to_add);
  Inputs inputs;
  const Mixture cup = cup_of(sheet, inputs);
  const Measured& acid = cup.dissolved_mol.at("H+(aq)");
  CHECK(acid.value() == Approx(0.1000).epsilon(1e-9));
  CHECK(cup.dissolved_mol.at("Cl-(aq)").value() == acid.value());
  // sqrt(0.5^2 / 50^2 + 0.02^2 / 2^2) of it.
  CHECK(acid.u() == Approx(0.1 * std::hypot(0.01, 0.01)).epsilon(1e-6));
  CHECK(cup.solids.empty());
  // 2.0 mol/L HCl has 1.0314 g/mL at 25 degC: M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725-1760.
  CHECK(mass_g(cup_of(sheet, inputs, "1", 25.0)).value() == Approx(50.0 * 1.03136).epsilon(2e-4));
}

TEST_CASE("a stock that is warm when its volume is read holds less") {
  Inputs inputs;
  const Sheet sheet = sheet_with("stock = \"acid\", volume_mL = 50.0", oxide_to_add);
  const double cold = cup_of(sheet, inputs, "1", 20.0).dissolved_mol.at("H+(aq)").value();
  const double warm = cup_of(sheet, inputs, "1", 40.0).dissolved_mol.at("H+(aq)").value();
  CHECK(warm < 0.996 * cold);
  CHECK(warm > 0.990 * cold);
  const Sheet told =
      sheet_with("stock = \"acid\", volume_mL = 50.0, read_at_degC = 20", oxide_to_add);
  CHECK(cup_of(told, inputs, "1", 40.0).dissolved_mol.at("H+(aq)").value() == Approx(cold));
}

TEST_CASE("a mass of a stock by mass fraction: its share is dissolved, the rest is water") {
  Inputs inputs;
  const Sheet sheet = sheet_with("stock = \"acid\", volume_mL = 1.0", oxide_to_add);
  Contents salt;
  salt.stock = 1;
  salt.mass_g = 20.0;
  const Mixture mixture = mixture_of(salt, {sheet, "cup of oxide", "1", 20.0}, inputs);
  CHECK(mixture.water_g.value() == Approx(18.0));
  CHECK(mixture.dissolved_mol.at("Na+(aq)").value() == Approx(2.0 / g_per_mol("NaCl(s)")));
  CHECK(mixture.dissolved_mol.at("Na+(aq)").u() == Approx(0.02 / g_per_mol("NaCl(s)")));
  // What is salt is not water.
  CHECK(covariance(mixture.water_g, mixture.dissolved_mol.at("Na+(aq)")) < 0.0);
  CHECK(mass_g(mixture).u() == Approx(0.0).margin(1e-9));
}

TEST_CASE("a volume of a stock by mass fraction weighs by its density") {
  // 10.0 % NaCl: 1.0707 g/mL at 20 degC (handbooks, from memory).
  Inputs inputs;
  const Sheet sheet = sheet_with("stock = \"acid\", volume_mL = 1.0", oxide_to_add);
  Contents salt;
  salt.stock = 1;
  salt.volume_mL = 20.0;
  const Mixture mixture = mixture_of(salt, {sheet, "cup of oxide", "1", 20.0}, inputs);
  CHECK(mass_g(mixture).value() == Approx(20.0 * 1.0707).epsilon(5e-4));
}

TEST_CASE("what was left behind is taken off, and its error is the same in all repeats") {
  const Sheet sheet =
      sheet_with("stock = \"acid\", volume_mL = 50.0, left_behind_mL = 2.0, u_left_behind_mL = 0.4",
                 oxide_to_add);
  Inputs inputs;
  Sheet exact = sheet;
  exact.stocks[0].u_concentration_mol_per_L.reset();
  const Measured first = cup_of(exact, inputs, "1").dissolved_mol.at("H+(aq)");
  const Measured second = cup_of(exact, inputs, "2").dissolved_mol.at("H+(aq)");
  CHECK(first.value() == Approx(0.0960));
  CHECK(first.u() == Approx(0.0008));
  CHECK((first - second).u() == Approx(0.0).margin(1e-12));
}

TEST_CASE("what is poured out of a vessel calibrated to contain leaves a film behind") {
  Sheet sheet = sheet_with("stock = \"acid\", volume_mL = 50.0, by = \"cylinder\"", oxide_to_add);
  sheet.instruments[0].calibrated = Calibrated::to_contain;
  sheet.instruments[0].u_volume_mL.reset();
  sheet.stocks[0].u_concentration_mol_per_L.reset();
  Inputs inputs;
  const Measured film = cup_of(sheet, inputs).dissolved_mol.at("H+(aq)");
  CHECK(film.value() == Approx(2.0e-3 * 49.8));
  CHECK(film.u() == Approx(2.0e-3 * 0.1));
  REQUIRE(budget(film, inputs).size() == 1);
  CHECK(budget(film, inputs)[0].source == ErrorSource::left_behind);
  sheet.trials[0].cup->left_behind_mL = 0.0;
  CHECK(cup_of(sheet, inputs).dissolved_mol.at("H+(aq)").value() == Approx(2.0e-3 * 50.0));
}

TEST_CASE("an instrument's error is shared by all that it measured, one's own is not") {
  Sheet sheet = sheet_with("stock = \"acid\", volume_mL = 1.0", oxide_to_add);
  Contents& cup = *sheet.trials[0].cup;
  cup = {};
  cup.substance = parse_formula("H2O(l)").value();
  cup.volume_mL = 50.0;
  cup.u_volume_mL = 0.3;
  cup.instrument = 0;
  Inputs inputs;
  const Measured first = cup_of(sheet, inputs, "1").water_g;
  const Measured second = cup_of(sheet, inputs, "2").water_g;
  const double g_per_mL = 0.99821;  // Kell's table at 20 degC
  CHECK(first.value() == Approx(50.0 * g_per_mL).epsilon(1e-5));
  CHECK(first.u() == Approx(g_per_mL * std::hypot(0.5, 0.3)).epsilon(1e-5));
  CHECK((first - second).u() == Approx(g_per_mL * 0.3 * std::sqrt(2.0)).epsilon(1e-5));
  CHECK((first + second).u() ==
        Approx(g_per_mL * std::hypot(2.0 * 0.5, 0.3 * std::sqrt(2.0))).epsilon(1e-5));
}

TEST_CASE("the sheet's convention for densities holds for water and for stocks") {
  const std::string convention = "[conventions]\ndensity_g_per_mL = 1.00\n";
  Inputs inputs;
  const Sheet acid = sheet_with("stock = \"acid\", volume_mL = 50.0", oxide_to_add, convention);
  CHECK(mass_g(cup_of(acid, inputs, "1", 60.0)).value() == Approx(50.0));
  CHECK(cup_of(acid, inputs, "1", 60.0).dissolved_mol.at("H+(aq)").value() == Approx(0.1));
  Contents water;
  water.substance = parse_formula("H2O(l)").value();
  water.volume_mL = 40.0;
  CHECK(mixture_of(water, {acid, "cup", "1", 60.0}, inputs).water_g.value() == Approx(40.0));
}

TEST_CASE("the extent is that of the reactant that is used up first") {
  Mixture reactants;
  reactants.water_g = 100.0;
  reactants.dissolved_mol["H+(aq)"] = 0.100;
  reactants.dissolved_mol["Cl-(aq)"] = 0.100;
  reactants.solids["MgO(s)"] = {parse_formula("MgO(s)").value(), 0.020};
  const Equation oxide_in_acid = balanced("MgO(s) + 2 HCl(aq) -> MgCl2(aq) + H2O(l)");
  Extent extent = extent_of(oxide_in_acid, reactants);
  CHECK(extent.limiting == "MgO(s)");
  CHECK(extent.mol.value() == Approx(0.020));
  CHECK_FALSE(extent.rival);
  reactants.solids["MgO(s)"].mol = 0.070;
  extent = extent_of(oxide_in_acid, reactants);
  CHECK(extent.limiting == "HCl(aq)");
  CHECK(extent.mol.value() == Approx(0.050));
  // Doubled equations go half as far.
  CHECK(
      extent_of(balanced("2 MgO(s) + 4 H+(aq) -> 2 Mg+2(aq) + 2 H2O(l)"), reactants).mol.value() ==
      Approx(0.025));
}

TEST_CASE("two reactants that cannot be told apart are rivals") {
  Inputs inputs;
  Mixture reactants;
  reactants.dissolved_mol["H+(aq)"] =
      Measured::of(0.0500, inputs.add({"acid", ErrorSource::concentration, {}}), 0.0003);
  reactants.dissolved_mol["OH-(aq)"] =
      Measured::of(0.0510, inputs.add({"base", ErrorSource::concentration, {}}), 0.0004);
  const Equation neutralisation = balanced("H+(aq) + OH-(aq) -> H2O(l)");
  // Apart by 0.0010, u 0.0005.
  Extent extent = extent_of(neutralisation, reactants);
  REQUIRE(extent.rival);
  CHECK(*extent.rival == "OH-(aq)");
  CHECK(extent.limiting == "H+(aq)");
  reactants.dissolved_mol["OH-(aq)"] += 0.0001;
  CHECK_FALSE(extent_of(neutralisation, reactants).rival);
}

TEST_CASE("an ion that two reactants bring is shared out between them") {
  Mixture reactants;
  reactants.water_g = 100.0;
  reactants.dissolved_mol["H+(aq)"] = 0.030;
  reactants.dissolved_mol["Cl-(aq)"] = 0.030;
  reactants.dissolved_mol["NO3-(aq)"] = 0.030;
  reactants.dissolved_mol["Na+(aq)"] = 0.030;
  reactants.solids["MgO(s)"] = {parse_formula("MgO(s)").value(), 1.0};
  const Equation mixed =
      balanced("MgO(s) + HCl(aq) + HNO3(aq) -> Mg+2(aq) + Cl-(aq) + NO3-(aq) + H2O(l)");
  CHECK(extent_of(mixed, reactants).mol.value() == Approx(0.015));
}

TEST_CASE("mass is conserved, less the gas that left") {
  Mixture reactants;
  reactants.water_g = 100.0;
  reactants.dissolved_mol["H+(aq)"] = 0.100;
  reactants.dissolved_mol["Cl-(aq)"] = 0.100;
  reactants.solids["Mg(s)"] = {parse_formula("Mg(s)").value(), 0.020};
  const Equation metal = balanced("Mg(s) + 2 HCl(aq) -> MgCl2(aq) + H2(g)");
  const Measured extent = extent_of(metal, reactants).mol;
  const Mixture products = after_reaction(reactants, metal, extent);
  CHECK(gas_mol(metal, extent).value() == Approx(0.020));
  CHECK(mass_g(products).value() + 0.020 * g_per_mol("H2(g)") ==
        Approx(mass_g(reactants).value()).epsilon(1e-12));
  CHECK(products.solids.at("Mg(s)").mol.value() == Approx(0.0).margin(1e-15));
  CHECK(products.dissolved_mol.at("H+(aq)").value() == Approx(0.060));
  CHECK(products.dissolved_mol.at("Mg+2(aq)").value() == Approx(0.020));

  Mixture hydrate;
  hydrate.water_g = 100.0;
  hydrate.solids["MgSO4.7H2O(s)"] = {parse_formula("MgSO4.7H2O(s)").value(), 0.010};
  const Equation dissolves = balanced("MgSO4.7H2O(s) -> Mg+2(aq) + SO4-2(aq) + 7 H2O(l)");
  const Mixture dissolved = after_reaction(hydrate, dissolves, 0.010);
  CHECK(dissolved.water_g.value() == Approx(100.0 + 0.07 * 18.015));
  CHECK(mass_g(dissolved).value() == Approx(mass_g(hydrate).value()).epsilon(1e-12));
}

TEST_CASE("an excess of solid stays, and is warmed as a solid") {
  Mixture reactants;
  reactants.water_g = 100.0;
  reactants.dissolved_mol["Cu+2(aq)"] = 0.020;
  reactants.dissolved_mol["SO4-2(aq)"] = 0.020;
  reactants.solids["Zn(s)"] = {parse_formula("Zn(s)").value(), 0.050};
  const Equation displaced = balanced("Zn(s) + Cu+2(aq) -> Zn+2(aq) + Cu(s)");
  const Extent extent = extent_of(displaced, reactants);
  CHECK(extent.limiting == "Cu+2(aq)");
  Mixture products = after_reaction(reactants, displaced, extent.mol);
  CHECK(products.solids.at("Zn(s)").mol.value() == Approx(0.030));
  CHECK(products.solids.at("Cu(s)").mol.value() == Approx(0.020));
  Inputs inputs;
  HeatCapacityFlags flags;
  const double with = heat_capacity_J_per_K(products, 25.0, 25.0, {}, inputs, flags).value();
  products.solids.clear();
  const double without = heat_capacity_J_per_K(products, 25.0, 25.0, {}, inputs, flags).value();
  // 25.4 J/(mol K) of zinc and 24.4 of copper (NBS tables, from memory).
  CHECK(with - without == Approx(0.030 * 25.4 + 0.020 * 24.4).epsilon(0.01));
}

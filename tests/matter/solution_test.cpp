// Liquids as a vessel holds them: how they are made, mixed, trusted and refused.
#include "core/matter/solution.hpp"

#include <cmath>

#include "core/matter/cylinder.hpp"
#include "core/matter/water.hpp"
#include "tests/catch.hpp"
#include "tests/matter/dissolving.hpp"

using namespace nestcup;

namespace {

const AmountList molar_acid{{"H+(aq)", 1.0}, {"Cl-(aq)", 1.0}};
const AmountList molar_lye{{"Na+(aq)", 1.0}, {"OH-(aq)", 1.0}};

}  // namespace

// 50.0 mL of Kell's 0.98057 g/mL at 65 degC; a cylinder of glass has grown by 0.02 mL.
TEST_CASE("a cylinder of hot water holds less than the number on it") {
  const double volume_mL = delivered_volume_mL(50.0, 65.0);
  CHECK_THAT(volume_mL, WithinAbs(50.022, 5e-4));
  const Solution hot = Solution::water(1.0).with_volume_mL(volume_mL, 65.0);
  CHECK_THAT(hot.mass_g(), WithinAbs(49.0, 0.06));
  CHECK_THAT(hot.mass_g(), WithinAbs(49.050, 1e-3));
  CHECK(hot.water_g() == hot.mass_g());
  CHECK_THAT(hot.density_g_per_mL(65.0), WithinRel(water_density_g_per_mL(65.0).value(), 1e-15));
  CHECK(hot.heat_capacity_J_per_g_K(65.0) == water_heat_capacity_J_per_g_K(65.0).value());
}

TEST_CASE("cylinders grow with their material, and keep what they contain") {
  CHECK(delivered_volume_mL(100.0, 20.0) == 100.0);
  CHECK_THAT(delivered_volume_mL(100.0, 60.0, VesselMaterial::soda_lime_glass),
             WithinAbs(100.108, 1e-9));
  CHECK_THAT(delivered_volume_mL(100.0, 60.0, VesselMaterial::polypropylene, 0.3),
             WithinAbs(101.5, 1e-9));
}

// 50 mL + 50 mL become 102.7 g, 100.95 mL for the density of exactly 0.5 mol/L (which it is not
// quite, having expanded); 406.4 J/K become 414.3 J/K. Worked out from the coefficients elsewhere.
TEST_CASE("acid and lye become salt water: more volume and more heat capacity") {
  constexpr double degC = 25.0;
  const Solution acid = litre_of(molar_acid, degC).with_volume_mL(50.0, degC);
  const Solution lye = litre_of(molar_lye, degC).with_volume_mL(50.0, degC);
  const double mol = acid.amount_mol("Cl-(aq)");
  CHECK_THAT(mol, WithinRel(0.05, 1e-9));
  // H+ and OH- are water now.
  const auto salt =
      Solution::of_amounts(amounts_of({{"Na+(aq)", mol}, {"Cl-(aq)", mol}, {"H2O(l)", mol}}),
                           acid.water_g() + lye.water_g());
  REQUIRE(salt.ok());
  CHECK_THAT(salt->mass_g(), WithinRel(acid.mass_g() + lye.mass_g(), 1e-6));
  CHECK_THAT(salt->mass_g(), WithinAbs(102.7, 0.05));
  CHECK_THAT(salt->volume_mL(degC), WithinAbs(100.95, 0.02));
  CHECK_THAT(1e3 * mol / salt->volume_mL(degC), WithinAbs(0.495, 5e-4));
  CHECK_THAT(salt->heat_capacity_J_per_K(degC), WithinAbs(414.3, 0.1));
  CHECK_THAT(acid.heat_capacity_J_per_K(degC) + lye.heat_capacity_J_per_K(degC),
             WithinAbs(406.4, 0.1));
}

TEST_CASE("a concentration belongs to the temperature that the solution was made at") {
  const Solution litre = litre_of(molar_acid);
  CHECK_THAT(litre.volume_mL(20.0), WithinRel(1000.0, 1e-12));
  const Solution warm = litre.with_volume_mL(50.0, 35.0);
  CHECK_THAT(warm.volume_mL(35.0), WithinRel(50.0, 1e-12));
  // 1 mol/L at 20 degC is less at 35 degC.
  CHECK(warm.amount_mol("H+(aq)") < 0.0499);
  CHECK(warm.amount_mol("H+(aq)") > 0.0497);
}

TEST_CASE("mass fraction, concentration and amounts describe the same solution") {
  const Solution litre = litre_of({{"Mg+2(aq)", 0.5}, {"SO4-2(aq)", 0.5}});
  const double w = 1.0 - litre.water_g() / litre.mass_g();
  const auto by_mass =
      Solution::of_mass_fraction(amounts_of({{"Mg+2(aq)", 1.0}, {"SO4-2(aq)", 1.0}}), w);
  REQUIRE(by_mass.ok());
  const Solution same = by_mass->with_mass_g(litre.mass_g());
  CHECK_THAT(same.amount_mol("Mg+2(aq)"), WithinRel(0.5, 1e-9));
  CHECK_THAT(same.volume_mL(20.0), WithinRel(1000.0, 1e-9));
  CHECK_THAT(same.heat_capacity_J_per_K(20.0), WithinRel(litre.heat_capacity_J_per_K(20.0), 1e-9));
  // The heptahydrate brings its water along.
  const double hydrate_w = 0.5 * 246.47 / litre.mass_g();
  const auto hydrate = Solution::of_mass_fraction(
      amounts_of({{"Mg+2(aq)", 1.0}, {"SO4-2(aq)", 1.0}, {"H2O(l)", 7.0}}), hydrate_w);
  REQUIRE(hydrate.ok());
  CHECK_THAT(hydrate->with_mass_g(litre.mass_g()).amount_mol("Mg+2(aq)"), WithinRel(0.5, 1e-4));
  CHECK_THAT(hydrate->with_mass_g(litre.mass_g()).water_g(), WithinRel(litre.water_g(), 1e-4));
}

TEST_CASE("half as much is half of everything") {
  const Solution litre = litre_of(molar_lye);
  const Solution half = litre.scaled(0.5);
  CHECK(half.mass_g() == 0.5 * litre.mass_g());
  CHECK(half.water_g() == 0.5 * litre.water_g());
  CHECK(half.amount_mol("OH-(aq)") == 0.5);
  CHECK(half.density_g_per_mL(30.0) == litre.density_g_per_mL(30.0));
  CHECK(half.molality_mol_per_kg("OH-(aq)") == litre.molality_mol_per_kg("OH-(aq)"));
}

TEST_CASE("the classroom's figures hold for every liquid where they are chosen") {
  const LiquidConvention classroom{1.00, 4.184};
  const Solution acid = litre_of(molar_acid, 20.0, classroom).with_volume_mL(50.0, 22.0);
  CHECK_THAT(acid.mass_g(), WithinRel(50.0, 1e-12));
  CHECK_THAT(acid.amount_mol("H+(aq)"), WithinRel(0.05, 1e-12));
  CHECK_THAT(acid.heat_capacity_J_per_K(28.9), WithinRel(50.0 * 4.184, 1e-12));
  CHECK(acid.density_relative_u(22.0) == 0.0);
  CHECK(acid.heat_capacity_relative_u(22.0) == 0.0);
  CHECK(acid.flags(22.0) == LiquidFlags{});
  // One of the two chosen, the other from the tables.
  const Solution half = litre_of(molar_acid, 20.0, {std::nullopt, 4.184});
  CHECK_THAT(half.density_g_per_mL(20.0), WithinAbs(1.0161, 5e-4));
  CHECK(half.heat_capacity_J_per_g_K(20.0) == 4.184);
  CHECK(half.density_relative_u(20.0) > 0.0);
}

TEST_CASE("uncertainty begins with water's and grows with strength and outside of the ranges") {
  const Solution water = Solution::water(100.0);
  CHECK(water.density_relative_u(25.0) == water_density_relative_u);
  CHECK(water.heat_capacity_relative_u(25.0) == water_heat_capacity_relative_u);
  const auto u_at = [](double mol_per_L, double degC) {
    return litre_of({{"Na+(aq)", mol_per_L}, {"Cl-(aq)", mol_per_L}})
        .heat_capacity_relative_u(degC);
  };
  CHECK(u_at(1e-6, 25.0) < 1.001 * water_heat_capacity_relative_u);
  CHECK(u_at(0.1, 25.0) < u_at(1.0, 25.0));
  CHECK(u_at(1.0, 25.0) < 0.002);
  CHECK(u_at(4.0, 25.0) < 0.0021);
  CHECK_THAT(u_at(1.0, 25.0), WithinRel(std::hypot(5e-4, 0.002 * 0.0564 / 0.0764), 1e-2));
  // A range that is left widens it gradually.
  CHECK_THAT(u_at(1.0, -0.0), WithinRel(u_at(1.0, 1.5), 0.2));
  CHECK(u_at(1.0, -8.5) > 1.8 * u_at(1.0, 1.5));
  CHECK(u_at(5.5, 25.0) > u_at(5.0, 25.0));
}

TEST_CASE("flags say what a value rests on") {
  const auto flags = [](const AmountList& list, double degC) { return litre_of(list).flags(degC); };
  CHECK(flags(molar_acid, 25.0) == LiquidFlags{});
  CHECK(flags(molar_acid, 2.0).outside_temperature);
  CHECK(flags({{"H+(aq)", 4.0}, {"Cl-(aq)", 4.0}}, 25.0).outside_strength);
  CHECK_FALSE(flags({{"H+(aq)", 4.0}, {"Cl-(aq)", 4.0}}, 25.0).outside_temperature);
  CHECK(flags({{"Zn+2(aq)", 0.5}, {"SO4-2(aq)", 0.5}}, 25.0).is_estimate);
  CHECK(flags({{"NH4+(aq)", 0.5}, {"CH3COO-(aq)", 0.5}}, 25.0).is_estimate);
  CHECK(flags({{"Ag+(aq)", 0.1}, {"NO3-(aq)", 0.1}}, 25.0).is_estimate);
  CHECK(Solution::water(1.0).flags(-1.0).outside_temperature);
  CHECK(Solution::water(1.0).flags(50.0) == LiquidFlags{});
}

// Partial molar values at 25 degC and infinite dilution, from memory: urea 44.2 mL/mol and
// 90 J/(mol K), TRIS 90.7 mL/mol and 230 J/(mol K); silver nitrate 28.3 mL/mol and -40 J/(mol K).
TEST_CASE("what the model does not know is within its wider uncertainty") {
  struct Known {
    AmountList list;
    double g, mL, J_per_K;
  };
  for (const Known& known : {Known{{{"CO(NH2)2(aq)", 0.5}}, 30.03, 22.1, 45.0},
                             Known{{{"(HOCH2)3CNH2(aq)", 0.2}}, 24.23, 18.1, 46.0},
                             Known{{{"Ag+(aq)", 0.2}, {"NO3-(aq)", 0.2}}, 33.97, 5.7, -8.0}}) {
    CAPTURE(known.list.front().first);
    const auto made = Solution::of_amounts(amounts_of(known.list), 1000.0);
    REQUIRE(made.ok());
    const double water_mL = 1000.0 / 0.997045;
    const double density = (1000.0 + known.g) / (water_mL + known.mL);
    const double J_per_g_K = (4181.3 + known.J_per_K) / (1000.0 + known.g);
    CHECK_THAT(made->density_g_per_mL(25.0), WithinRel(density, made->density_relative_u(25.0)));
    CHECK_THAT(made->heat_capacity_J_per_g_K(25.0),
               WithinRel(J_per_g_K, made->heat_capacity_relative_u(25.0)));
    CHECK(made->heat_capacity_relative_u(25.0) > 0.003);
  }
}

TEST_CASE("properties do not jump: differences are derivatives") {
  const auto solution_at = [](double excess) {
    return litre_of({{"Na+(aq)", 0.5},
                     {"NH4+(aq)", 0.5},
                     {"Mg+2(aq)", 0.25},
                     {"H+(aq)", excess},
                     {"Cl-(aq)", 1.0},
                     {"CH3COO-(aq)", 0.5 + excess}});
  };
  constexpr double step = 1e-5;
  double before = 0.0;
  for (double t = -5.0; t <= 105.0; t += 0.5) {
    CAPTURE(t);
    const Solution s = solution_at(0.2);
    const double slope =
        (s.heat_capacity_J_per_g_K(t + step) - s.heat_capacity_J_per_g_K(t - step)) / (2 * step);
    CHECK(std::abs(slope) < 0.02);
    if (t > -5.0) CHECK_THAT(s.heat_capacity_J_per_g_K(t), WithinAbs(before, 0.01));
    before = s.heat_capacity_J_per_g_K(t);
  }
  for (const double x : {1e-3, 0.1, 0.5}) {
    CAPTURE(x);
    const auto slope = [&](double h) {
      return (solution_at(x + h).heat_capacity_J_per_K(25.0) -
              solution_at(x - h).heat_capacity_J_per_K(25.0)) /
             (2 * h);
    };
    CHECK_THAT(slope(1e-6 * x), WithinAbs(slope(1e-3 * x), 2e-2));
  }
}

TEST_CASE("beyond what is liquid the ends' values hold") {
  const Solution water = Solution::water(1.0);
  CHECK(water.density_g_per_mL(-300.0) == water.density_g_per_mL(lowest_liquid_degC));
  CHECK(water.heat_capacity_J_per_g_K(500.0) == water.heat_capacity_J_per_g_K(110.0));
}

TEST_CASE("amounts that make no solution are refused") {
  const auto acid = amounts_of(molar_acid);
  CHECK_FALSE(Solution::of_amounts(acid, 0.0));
  CHECK_FALSE(Solution::of_amounts(acid, std::nan("")));
  CHECK_FALSE(Solution::of_amounts(amounts_of({{"H+(aq)", 1.0}}), 100.0));
  CHECK_FALSE(Solution::of_amounts(acid, 100.0, {0.0, std::nullopt}));
  CHECK_FALSE(Solution::of_amounts(acid, 100.0, {std::nullopt, -4.0}));
  CHECK_THAT(
      Solution::of_concentrations(amounts_of({{"Na+(aq)", 60.0}, {"Cl-(aq)", 60.0}})).error().text,
      ContainsSubstring("leave no room for water"));
  CHECK_FALSE(Solution::of_concentrations(amounts_of({{"Na+(aq)", 60.0}, {"Cl-(aq)", 60.0}}), 20.0,
                                          {1, 4}));
  for (const double w : {-0.1, 1.0, std::nan("")}) CHECK_FALSE(Solution::of_mass_fraction(acid, w));
  CHECK_THAT(Solution::of_mass_fraction({}, 0.1).error().text, ContainsSubstring("of something"));
}

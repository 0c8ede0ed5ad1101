// The model of aqueous solutions against its author's test values and against values worked out
// from the published coefficients by other software.
#include "core/matter/laliberte.hpp"

#include <array>
#include <utility>

#include "core/matter/laliberte_csv.hpp"
#include "core/matter/water.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

const LaliberteSolute& solute(std::string_view formula) {
  const LaliberteSolute* found = find_laliberte_solute(formula);
  REQUIRE(found != nullptr);
  return *found;
}

}  // namespace

// M. Laliberte, J. Chem. Eng. Data 54 (2009) 1725: test values of the published spreadsheet. The
// second solute of the second one is none of the table's; its coefficients are given from memory
// and bear themselves out in the last digits. The first value is printed with its digits cut off.
TEST_CASE("the model gives its author's test values for densities") {
  const SoluteShare salt{&solute("NaCl"), 0.0037838838};
  CHECK_THAT(1e3 * laliberte_density_g_per_mL({&salt, 1}, 0.0, water_density_g_per_mL(0.0).value()),
             WithinAbs(1002.62501201, 1e-8));
  LaliberteSolute other;
  other.density = {
      {0.967814929691928, 5.540434135986, 1.10374669742622, 0.0123340782160061, 2589.61875022366},
      0.0,
      100.0,
      0.1,
      0.0};
  const std::array<SoluteShare, 2> both{{{&solute("NaCl"), 0.00581}, {&other, 0.002}}};
  CHECK_THAT(1e3 * laliberte_density_g_per_mL(both, 5.0, water_density_g_per_mL(5.0).value()),
             WithinAbs(1005.6947727219, 5e-10));
}

// The same source: 4186.575 J/(kg K), with its author's own heat capacity of water. With that of
// IAPWS-95, 4.21454 J/(g K) at 1.5 degC, it is 4186.07; the rest, 0.012 %, is water's.
TEST_CASE("the model gives its author's test value for a heat capacity") {
  const SoluteShare salt{&solute("NaCl"), 0.00398447};
  CHECK_THAT(1e3 * laliberte_heat_capacity_J_per_g_K({&salt, 1}, 1.5, 4.21454),
             WithinAbs(4186.07, 0.005));
  const double water = water_heat_capacity_J_per_g_K(1.5).value();
  CHECK_THAT(1e3 * laliberte_heat_capacity_J_per_g_K({&salt, 1}, 1.5, water),
             WithinRel(4186.575, 2e-4));
}

TEST_CASE("every row of the table is a solute that makes sense") {
  const auto read = read_laliberte_table(laliberte_csv());
  REQUIRE(read.ok());
  CHECK(read->size() == 25);
  for (const LaliberteSolute& row : *read) {
    CAPTURE(row.formula);
    CHECK(row.molar_mass_g_per_mol > 15.0);
    CHECK(row.cation.empty() == row.anion.empty());
    CHECK(row.density.lowest_degC <= 25.0);
    CHECK(row.density.highest_degC >= 25.0);
    CHECK(row.density.most_w > 0.12);
    CHECK(row.density.relative_u >= 0.001);
    CHECK(row.heat_capacity.most_w > 0.03);
    CHECK(row.heat_capacity.relative_u >= 0.002);
    CHECK(row.heat_capacity_is_estimate == (row.cation == "Zn+2"));
    CHECK(find_laliberte_solute(row.formula) ==
          &laliberte_solutes()[static_cast<std::size_t>(&row - read->data())]);
  }
  CHECK(find_laliberte_solute("AgCl") == nullptr);
}

// A zinc salt's apparent molar heat capacity is the magnesium salt's.
TEST_CASE("what has no heat capacity takes a like solute's, mole for mole") {
  for (const auto& [zinc, magnesium] : {std::pair("ZnSO4", "MgSO4"), std::pair("ZnCl2", "MgCl2")}) {
    const auto molar = [](const LaliberteSolute& s) {
      return s.molar_mass_g_per_mol * apparent_heat_capacity_J_per_g_K(s, 0.05, 30.0);
    };
    CHECK_THAT(molar(solute(zinc)), WithinRel(molar(solute(magnesium)), 1e-12));
  }
}

TEST_CASE("outside of its temperatures a solute keeps the values of the range's end") {
  const LaliberteSolute& copper = solute("CuSO4");  // heat capacity at 18 degC alone
  CHECK(apparent_heat_capacity_J_per_g_K(copper, 0.05, 60.0) ==
        apparent_heat_capacity_J_per_g_K(copper, 0.05, 18.0));
  CHECK(apparent_volume_mL_per_g(copper, 0.05, 5.0) ==
        apparent_volume_mL_per_g(copper, 0.05, 10.0));
  CHECK(apparent_volume_mL_per_g(copper, 0.05, 12.0) !=
        apparent_volume_mL_per_g(copper, 0.05, 10.0));
}

TEST_CASE("nothing dissolved is water") {
  const SoluteShare none{&solute("HCl"), 0.0};
  CHECK(laliberte_density_g_per_mL({&none, 1}, 25.0, 0.997) == 1.0 / (1.0 / 0.997));
  CHECK(laliberte_heat_capacity_J_per_g_K({&none, 1}, 25.0, 4.18) == 4.18);
  CHECK(laliberte_heat_capacity_J_per_g_K({}, 25.0, 4.18) == 4.18);
}

TEST_CASE("a table that is none is refused by line") {
  CHECK_THAT(read_laliberte_table("# only\nsolute,cas\n").error().text,
             ContainsSubstring("line 2: other columns"));
  std::string text(laliberte_csv());
  const std::size_t at = text.find("\nNaCl,");
  text.insert(at + 1, "NaCl,7647-14-5,Na+,1,Cl-,1,much\n");
  const auto read = read_laliberte_table(text);
  REQUIRE_FALSE(read.ok());
  CHECK_THAT(read.error().text, ContainsSubstring("not a formula, ions and numbers in 26 cells"));
  CHECK(read.error().kind == Fault::bad_data);
}

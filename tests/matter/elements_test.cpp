#include "core/matter/elements.hpp"

#include <cmath>
#include <vector>

#include "tests/catch.hpp"

using namespace nestcup;

namespace {

Uncertain molar_mass(const std::string& text) {
  const auto formula = parse_formula(text);
  INFO(text);
  REQUIRE(formula.ok());
  return molar_mass_g_per_mol(*formula);
}

}  // namespace

TEST_CASE("molar masses agree with handbooks") {
  // CRC Handbook of Chemistry and Physics, physical constants of inorganic and organic compounds,
  // from memory; rounded there to 0.001, and made with conventional weights where IUPAC gives an
  // interval, so both lie within the interval.
  struct Row {
    const char* formula;
    double g_per_mol;
  };
  for (const auto& [formula, g_per_mol] : std::vector<Row>{{"H2O", 18.015},
                                                           {"MgO", 40.304},
                                                           {"NaCl", 58.443},
                                                           {"KCl", 74.551},
                                                           {"NaOH", 39.997},
                                                           {"NH4Cl", 53.491},
                                                           {"NH4NO3", 80.043},
                                                           {"KNO3", 101.103},
                                                           {"CaCl2", 110.984},
                                                           {"CaCl2.2H2O", 147.014},
                                                           {"MgSO4", 120.368},
                                                           {"MgSO4.7H2O", 246.475},
                                                           {"CuSO4.5H2O", 249.685},
                                                           {"Na2S2O3.5H2O", 248.184},
                                                           {"CO(NH2)2", 60.055},
                                                           {"C4H11NO3", 121.136},
                                                           {"C6H8O7", 192.124}}) {
    INFO(formula);
    const Uncertain found = molar_mass(formula);
    // The whole interval is the root of 3 times u for one element, less for several.
    CHECK_THAT(found.value, WithinAbs(g_per_mol, std::sqrt(3.0) * found.u + 6e-4));
    CHECK(found.u > 0.0);
    CHECK(found.u < 2e-4 * found.value);
  }
}

TEST_CASE("the uncertainty of a molar mass is that of its weights") {
  // Water by hand: H 1.00784 to 1.00811 twice (the same hydrogen), O 15.99903 to 15.99977.
  const Uncertain water = molar_mass("H2O");
  CHECK_THAT(water.value, WithinAbs(2 * 1.007975 + 15.9994, 1e-12));
  CHECK_THAT(water.u, WithinAbs(std::hypot(2 * 0.000135, 0.00037) / std::sqrt(3.0), 1e-12));
  CHECK_THAT(molar_mass("Zn").u, WithinAbs(0.02 / std::sqrt(3.0), 1e-12));
}

TEST_CASE("ions lack their electrons, and a salt is the sum of its ions") {
  CHECK_THAT(molar_mass("H+").value, WithinAbs(molar_mass("H").value - 5.4858e-4, 1e-8));
  CHECK_THAT(molar_mass("Mg+2").value + molar_mass("SO4-2").value,
             WithinAbs(molar_mass("MgSO4").value, 1e-10));
  CHECK_THAT(molar_mass("e-").value, WithinAbs(5.4858e-4, 1e-8));
}

TEST_CASE("elements are found by their symbol, near misses by the likeliest") {
  REQUIRE(find_element("Cl") != nullptr);
  CHECK(find_element("Cl")->number == 17);
  for (const char* const none : {"", "cl", "CL", "Tc", "Xg", "Clx"}) {
    INFO(none);
    CHECK(find_element(none) == nullptr);
  }
  CHECK(nearest_element("Xg") == "Mg");
  CHECK(nearest_element("mg") == "Mg");
  CHECK(nearest_element("CL") == "Cl");
  CHECK(nearest_element("Cx") == "Cl");
  CHECK_FALSE(nearest_element("Water").has_value());
}

#include "core/matter/substances.hpp"

#include <string>
#include <vector>

#include "core/matter/elements.hpp"
#include "tests/catch.hpp"

using namespace nestcup;

namespace {

std::string found(const std::string& name) {
  const auto formula = substance(name);
  return formula ? formula->text : formula.error().text;
}

/// "Mg+2(aq) 2Cl-(aq)"
std::string particles(const std::string& text) {
  const auto formula = parse_formula(text);
  REQUIRE(formula.ok());
  std::string told;
  for (const Particle& particle : dissociated(*formula)) {
    if (!told.empty()) told += " ";
    if (particle.count != 1) told += std::to_string(particle.count);
    told += particle.species.text;
  }
  return told;
}

}  // namespace

TEST_CASE("substances by their usual name or by formula") {
  CHECK(found("water") == "H2O(l)");
  CHECK(found(" Water ") == "H2O(l)");
  CHECK(found("ice") == "H2O(s)");
  CHECK(found("magnesium oxide") == "MgO(s)");
  CHECK(found("aluminum") == "Al(s)");
  CHECK(found("HCl(aq)") == "HCl(aq)");
  CHECK(found("MgSO4*7H2O(cr)") == "MgSO4.7H2O(s)");
  CHECK_THAT(found("watr"), ContainsSubstring("no known substance, did you mean water?"));
  CHECK_THAT(found("sodium chlorid"), ContainsSubstring("did you mean sodium chloride?"));
  CHECK_THAT(found("XgO"), ContainsSubstring("did you mean Mg?"));
  CHECK_THAT(found("unobtainium"), ContainsSubstring("elements begin with a capital"));
}

TEST_CASE("strong electrolytes are their ions, whatever way the formula is written") {
  const std::vector<std::pair<std::string, std::string>> rows{
      {"HCl(aq)", "H+(aq) Cl-(aq)"},
      {"HNO3(aq)", "H+(aq) NO3-(aq)"},
      {"HClO4(aq)", "H+(aq) ClO4-(aq)"},
      // The first proton alone: HSO4- is a weak acid (pK 1.99).
      {"H2SO4(aq)", "H+(aq) HSO4-(aq)"},
      {"NaHSO4(aq)", "Na+(aq) HSO4-(aq)"},
      {"NaOH(aq)", "Na+(aq) OH-(aq)"},
      {"Ca(OH)2(aq)", "Ca+2(aq) 2OH-(aq)"},
      {"NaCl(aq)", "Na+(aq) Cl-(aq)"},
      {"NH4NO3(aq)", "NH4+(aq) NO3-(aq)"},
      {"(NH4)2SO4(aq)", "2NH4+(aq) SO4-2(aq)"},
      {"NH4Cl(aq)", "NH4+(aq) Cl-(aq)"},
      {"MgSO4(aq)", "Mg+2(aq) SO4-2(aq)"},
      {"MgCl2.6H2O(aq)", "Mg+2(aq) 2Cl-(aq) 6H2O(l)"},
      {"MgSO4.H2O(aq)", "Mg+2(aq) SO4-2(aq) H2O(l)"},
      {"Al2(SO4)3(aq)", "2Al+3(aq) 3SO4-2(aq)"},
      {"FeCl2(aq)", "Fe+2(aq) 2Cl-(aq)"},
      {"FeCl3(aq)", "Fe+3(aq) 3Cl-(aq)"},
      {"Na2HPO4(aq)", "2Na+(aq) HPO4-2(aq)"},
      {"KH2PO4(aq)", "K+(aq) H2PO4-(aq)"},
      {"NaHCO3(aq)", "Na+(aq) HCO3-(aq)"},
      {"CH3COONa(aq)", "Na+(aq) CH3COO-(aq)"},
      {"NaCH3COO(aq)", "Na+(aq) CH3COO-(aq)"},
      {"Ca(CH3COO)2(aq)", "Ca+2(aq) 2CH3COO-(aq)"},
      {"Na3C6H5O7(aq)", "3Na+(aq) C6H5O7-3(aq)"},
      {"Na2S2O3.5H2O(aq)", "2Na+(aq) S2O3-2(aq) 5H2O(l)"}};
  for (const auto& [whole, ions] : rows) {
    INFO(whole);
    CHECK(particles(whole) == ions);
  }
}

TEST_CASE("what is weak, not dissolved, an ion already or no usual salt stays whole") {
  for (const char* const whole :
       {"CH3COOH(aq)", "NH3(aq)", "NH4OH(aq)", "H2CO3(aq)", "CO2(aq)", "HF(aq)", "HNO2(aq)",
        "CO(NH2)2(aq)", "C4H11NO3(aq)", "C12H22O11(aq)", "HgCl2(aq)", "KAl(SO4)2(aq)",
        "Al(OH)3(aq)", "NaCl(s)", "NaCl", "HCl(g)", "H+(aq)", "SO4-2(aq)", "H2O(l)"}) {
    INFO(whole);
    CHECK(particles(whole) == whole);
  }
}

TEST_CASE("ions carry the atoms and the charge of what they came from") {
  for (const char* const text : {"HCl(aq)", "H2SO4(aq)", "Ca(OH)2(aq)", "Al2(SO4)3(aq)",
                                 "K2Cr2O7(aq)", "Na2B4O7.10H2O(aq)", "(NH4)2HPO4(aq)"}) {
    INFO(text);
    const Formula whole = parse_formula(text).value();
    double mass = 0.0;
    int charge = 0;
    for (const Particle& particle : dissociated(whole)) {
      mass += particle.count * molar_mass_g_per_mol(particle.species).value;
      charge += particle.count * particle.species.charge;
    }
    CHECK(dissociated(whole).size() > 1);
    CHECK_THAT(mass, WithinRel(molar_mass_g_per_mol(whole).value, 1e-12));
    CHECK(charge == 0);
  }
}

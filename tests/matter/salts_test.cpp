// Species in solution become the solutes of the table: masses are kept, order does not matter.
#include "core/matter/salts.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "core/matter/ion_table.hpp"
#include "core/matter/unlisted_solutes.hpp"
#include "tests/catch.hpp"
#include "tests/matter/dissolving.hpp"

using namespace nestcup;

namespace {

using List = AmountList;

Solutes paired(const List& list) {
  const auto result = paired_ions(amounts_of(list));
  if (!result) FAIL(result.error().text);
  return *result;
}

/// mol of formula units; 0 where the salt is not there.
double mol_of(const Solutes& solutes, std::string_view formula) {
  for (const Solutes::Mass& mass : solutes.masses) {
    if (mass.solute->formula == formula) return mass.g / mass.solute->molar_mass_g_per_mol;
  }
  return 0.0;
}

double mass_of(const Solutes& solutes, const LaliberteSolute& solute) {
  for (const Solutes::Mass& mass : solutes.masses) {
    if (mass.solute == &solute) return mass.g;
  }
  return 0.0;
}

double mass_of(const List& list) {
  double g = 0.0;
  for (const auto& [text, mol] : list) g += mol * dissolved_species(text)->molar_mass_g_per_mol;
  return g;
}

}  // namespace

TEST_CASE("one cation and one anion are their salt") {
  const Solutes salt = paired({{"Mg+2(aq)", 0.3}, {"Cl-(aq)", 0.6}});
  REQUIRE(salt.masses.size() == 1);
  CHECK_THAT(mol_of(salt, "MgCl2"), WithinRel(0.3, 1e-6));
  CHECK_FALSE(salt.has_sums);
  CHECK_THAT(mol_of(paired({{"H+(aq)", 0.2}, {"SO4-2(aq)", 0.1}}), "H2SO4"), WithinRel(0.1, 1e-6));
}

TEST_CASE("several ions are shared out in proportion") {
  const Solutes mixed =
      paired({{"Na+(aq)", 0.3}, {"K+(aq)", 0.1}, {"Cl-(aq)", 0.2}, {"NO3-(aq)", 0.2}});
  CHECK_THAT(mol_of(mixed, "NaCl"), WithinRel(0.15, 1e-6));
  CHECK_THAT(mol_of(mixed, "NaNO3"), WithinRel(0.15, 1e-6));
  CHECK_THAT(mol_of(mixed, "KCl"), WithinRel(0.05, 1e-6));
  CHECK_THAT(mol_of(mixed, "KNO3"), WithinRel(0.05, 1e-6));
}

TEST_CASE("an excess of acid over a metal is the two chlorides") {
  const Solutes mixed = paired({{"Mg+2(aq)", 0.01}, {"H+(aq)", 0.08}, {"Cl-(aq)", 0.1}});
  CHECK_THAT(mol_of(mixed, "MgCl2"), WithinRel(0.01, 1e-6));
  CHECK_THAT(mol_of(mixed, "HCl"), WithinRel(0.08, 1e-6));
  CHECK(mixed.masses.size() == 2);
}

TEST_CASE("a salt that is not in the table is the sum of others") {
  const List acetate{{"NH4+(aq)", 0.1}, {"CH3COO-(aq)", 0.1}};
  const Solutes sum = paired(acetate);
  CHECK(sum.has_sums);
  CHECK_THAT(mol_of(sum, "NH4Cl"), WithinRel(0.1, 1e-6));
  CHECK_THAT(mol_of(sum, "CH3COONa"), WithinRel(0.1, 1e-6));
  CHECK_THAT(mol_of(sum, "NaCl"), WithinRel(-0.1, 1e-6));
  CHECK_THAT(sum.mass_g(), WithinRel(mass_of(acetate), 1e-6));
}

TEST_CASE("every pair of listed ions has a way, and it keeps the mass") {
  const IonTable& table = IonTable::get();
  CHECK(table.cations().size() == 9);
  CHECK(table.anions().size() == 7);
  for (const Ion& cation : table.cations()) {
    for (const Ion& anion : table.anions()) {
      const List list{{cation.text, 0.2 / cation.makeup.charge},
                      {anion.text, -0.2 / anion.makeup.charge}};
      CAPTURE(cation.text, anion.text);
      CHECK_THAT(paired(list).mass_g(), WithinRel(mass_of(list), 1e-5));
    }
  }
}

TEST_CASE("species are known by atoms and charge") {
  for (const auto& [one, other] :
       {std::pair("CH3COO-(aq)", "C2H3O2-(aq)"), std::pair("CH3COOH(aq)", "HC2H3O2(aq)"),
        std::pair("H2O(l)", "H2O"), std::pair("NaCl(aq)", "ClNa(aq)")}) {
    CAPTURE(one);
    const auto a = dissolved_species(one), b = dissolved_species(other);
    REQUIRE(a.ok());
    REQUIRE(b.ok());
    CHECK(a->kind == b->kind);
    CHECK(a->index == b->index);
  }
  CHECK_THAT(mol_of(paired({{"NH3(aq)", 0.5}}), "NH3"), WithinRel(0.5, 1e-6));
  CHECK_THAT(mol_of(paired({{"NaCl(aq)", 0.5}}), "NaCl"), WithinRel(0.5, 1e-6));
  CHECK_THAT(paired({{"H2O(l)", 2.0}}).water_g, WithinAbs(36.03, 0.005));
}

TEST_CASE("hydrogen sulfate counts as its ions") {
  const Solutes bisulfate = paired({{"Na+(aq)", 0.1}, {"HSO4-(aq)", 0.1}});
  const Solutes apart = paired({{"Na+(aq)", 0.1}, {"H+(aq)", 0.1}, {"SO4-2(aq)", 0.1}});
  CHECK_THAT(mol_of(bisulfate, "Na2SO4"), WithinRel(0.05, 1e-6));
  CHECK_THAT(mol_of(bisulfate, "H2SO4"), WithinRel(0.05, 1e-6));
  CHECK(bisulfate.mass_g() == apart.mass_g());
}

TEST_CASE("what the table does not know is counted apart, with its partners") {
  const List silver{{"Ag+(aq)", 0.1}, {"Na+(aq)", 0.1}, {"NO3-(aq)", 0.2}};
  const Solutes solutes = paired(silver);
  CHECK_THAT(mass_of(solutes, unlisted_salt()), WithinRel(0.1 * (107.868 + 62.005), 1e-4));
  CHECK_THAT(mol_of(solutes, "NaNO3"), WithinRel(0.1, 1e-6));
  CHECK_THAT(solutes.mass_g(), WithinRel(mass_of(silver), 1e-5));
  const Solutes urea = paired({{"CO(NH2)2(aq)", 0.1}});
  CHECK_THAT(mass_of(urea, unlisted_molecule()), WithinRel(6.006, 1e-3));
  CHECK(urea.masses.size() == 1);
}

TEST_CASE("order and division of the species do not matter") {
  List list{{"Na+(aq)", 0.31}, {"Mg+2(aq)", 0.07}, {"Cl-(aq)", 0.25}, {"SO4-2(aq)", 0.1}};
  const Solutes one = paired(list);
  std::reverse(list.begin(), list.end());
  list.back().second = 0.11;
  list.emplace_back("Na+(aq)", 0.20);
  const Solutes other = paired(list);
  for (const char* const salt : {"NaCl", "Na2SO4", "MgCl2", "MgSO4"}) {
    CHECK_THAT(mol_of(other, salt), WithinRel(mol_of(one, salt), 1e-12));
  }
}

TEST_CASE("a dissolved substance is its particles") {
  const auto particles = [](const char* text, double mol) {
    const auto amounts = dissolved_substance(*parse_formula(text), mol);
    REQUIRE(amounts.ok());
    std::string list;
    for (const SpeciesAmount& amount : *amounts) {
      list += amount.species.text + " " + std::to_string(std::lround(amount.mol)) + " ";
    }
    return list;
  };
  CHECK(particles("HCl(aq)", 2.0) == "H+(aq) 2 Cl-(aq) 2 ");
  CHECK(particles("CaCl2.2H2O(s)", 1.0) == "Ca+2(aq) 1 Cl-(aq) 2 H2O(l) 2 ");
  CHECK(particles("NH3(aq)", 3.0) == "NH3(aq) 3 ");
  CHECK(particles("H2O(l)", 1.0) == "H2O(l) 1 ");
  // Sulfuric acid goes through its first step and comes out as itself.
  const auto acid = dissolved_substance(*parse_formula("H2SO4(aq)"), 0.5);
  REQUIRE(acid.ok());
  CHECK_THAT(mol_of(*paired_ions(*acid), "H2SO4"), WithinRel(0.5, 1e-6));
}

TEST_CASE("what cannot be a solution is refused") {
  CHECK_THAT(paired_ions(amounts_of({{"Mg+2(aq)", 0.1}, {"Cl-(aq)", 0.1}})).error().text,
             ContainsSubstring("as much positive as negative charge, not 0.2 and 0.1 mol"));
  CHECK_FALSE(paired_ions(amounts_of({{"NH3(aq)", -0.1}})));
  CHECK_FALSE(paired_ions(amounts_of({{"NH3(aq)", std::nan("")}})));
  CHECK_THAT(dissolved_species("MgO(s)").error().text, ContainsSubstring("MgO(s) is nothing"));
  CHECK_FALSE(dissolved_species("H2(g)"));
  CHECK_FALSE(dissolved_species("e-"));
  CHECK_FALSE(dissolved_species("Qq+(aq)"));
  CHECK(paired({}).mass_g() == 0.0);
}

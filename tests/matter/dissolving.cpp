#include "tests/matter/dissolving.hpp"

#include "tests/catch.hpp"

namespace nestcup {

std::vector<SpeciesAmount> amounts_of(const AmountList& list) {
  std::vector<SpeciesAmount> amounts;
  for (const auto& [text, mol] : list) {
    const auto species = dissolved_species(text);
    INFO(text);
    REQUIRE(species.ok());
    amounts.push_back({*species, mol});
  }
  return amounts;
}

Solution litre_of(const AmountList& mol_per_L, double made_degC,
                  const LiquidConvention& convention) {
  auto solution = Solution::of_concentrations(amounts_of(mol_per_L), made_degC, convention);
  if (!solution) FAIL(solution.error().text);
  return *solution;
}

}  // namespace nestcup

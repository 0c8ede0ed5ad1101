// From what swims in a solution to the solutes that tables know: ions put together to salts.
//
// Ions are shared out in proportion: of the equivalents E of all cations, which are those of all
// anions, a cation with q_i and an anion with q_j form the salt of both with q_i q_j / E (Young's
// rule; T. F. Young and M. B. Smith, J. Phys. Chem. 58 (1954) 716-724, from memory). That depends
// on no order, and smoothly on all amounts. A salt that the model lacks while it has both ions is
// the sum of two others less a third: NH4CH3COO = NH4Cl + CH3COONa - NaCl. Where the model lacks an
// ion, both ions of the pair count as an unlisted salt.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/matter/formula.hpp"
#include "core/matter/laliberte.hpp"

namespace nestcup {

/// A species in solution, and what it counts as. Made once by dissolved_species.
struct DissolvedSpecies {
  enum class Kind {
    water,
    cation,             ///< index among the model's cations
    anion,              ///< index among the model's anions
    hydrogen_salt_ion,  ///< HSO4-: counts as H+ and SO4-2
    solute,             ///< index among the model's solutes: NH3, or a salt given as a whole
    unlisted_ion,
    unlisted_molecule
  };
  std::string text;  ///< canonical: "Mg+2(aq)"
  double molar_mass_g_per_mol = 0.0;
  int charge = 0;
  Kind kind = Kind::water;
  std::size_t index = 0;
};

/// Species are known by atoms and charge: "CH3COO-(aq)" and "C2H3O2-(aq)" are the same.
/// @param formula  in phase (aq) or (l), or with none given
/// @errors bad_data (solids, gases, electrons)
[[nodiscard]] Result<DissolvedSpecies> dissolved_species(const Formula& formula);
/// The same of a text. @errors as well those of parse_formula
[[nodiscard]] Result<DissolvedSpecies> dissolved_species(std::string_view formula);

struct SpeciesAmount {
  DissolvedSpecies species;
  double mol = 0.0;  ///< >= 0
};

/// A substance in water as what it consists of there (`dissociated` in substances.hpp): HCl(aq) as
/// H+ and Cl-, MgSO4.7H2O as Mg+2, SO4-2 and 7 H2O. A solid's formula means the solid, dissolved.
/// @errors bad_data (a species that cannot be in solution)
[[nodiscard]] Result<std::vector<SpeciesAmount>> dissolved_substance(const Formula& substance,
                                                                     double mol = 1.0);

/// Salts and molecules that together are the species given.
struct Solutes {
  struct Mass {
    const LaliberteSolute* solute = nullptr;  ///< those of unlisted_solutes.hpp as well
    double g = 0.0;                           ///< negative where another salt is a sum with it
  };
  std::vector<Mass> masses;  ///< each solute at most once
  double water_g = 0.0;      ///< of species that are water
  bool has_sums = false;     ///< a salt stands as the sum of others

  [[nodiscard]] double mass_g() const;  ///< without the water
};

/// @param amounts  a species may come more than once
/// @errors bad_data (an amount below zero or no number; charges that do not balance to 1e-6)
[[nodiscard]] Result<Solutes> paired_ions(std::span<const SpeciesAmount> amounts);

}  // namespace nestcup

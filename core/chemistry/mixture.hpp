// What a vessel holds, as amounts: water, dissolved species and solids.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/chemistry/measured.hpp"
#include "core/matter/equation.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

struct SolidPart {
  Formula species;
  Measured mol;
};

struct Mixture {
  Measured water_g;
  std::map<std::string, Measured> dissolved_mol;  ///< by species: "H+(aq)", "NH3(aq)"
  std::map<std::string, SolidPart> solids;        ///< by species: "MgO(s)"; ice among them
  Measured unnamed_g;                             ///< solids that have no formula

  /// Both together.
  Mixture& operator+=(const Mixture& other);
};

/// The mass of everything, g.
[[nodiscard]] Measured mass_g(const Mixture& mixture);

/// Where the amount of one vessel's contents comes from.
struct AmountContext {
  const Sheet& sheet;
  std::string place;   ///< "cup of oxide": names the errors that repeats share
  std::string run;     ///< names those that they do not
  Measured read_degC;  ///< of the liquid when its volume was read, unless the sheet says it
};

/// Amounts out of the sheet's volume or mass. Masses of liquids come from the program's densities
/// (core/matter) or the sheet's convention.
[[nodiscard]] Mixture mixture_of(const Contents& contents, const AmountContext& context,
                                 Inputs& inputs);

/// How much of a species there is, mol: dissolved, solid, or the water.
[[nodiscard]] Measured available_mol(const Mixture& mixture, const Formula& species);

/// How far one reactant lets a reaction go.
struct Reach {
  std::string species;  ///< as the equation has it
  Measured mol;         ///< extent of the equation as written
};
/// Of all reactants, the one that is used up first in front.
[[nodiscard]] std::vector<Reach> reaches_of(const Equation& equation, const Mixture& reactants);

/// The extent that a reaction can reach, by the reactant that is used up first.
struct Extent {
  Measured mol;          ///< of the equation as written
  std::string limiting;  ///< species, as the equation has it
  /// Another reactant's extent where the two cannot be told apart within twice their uncertainty.
  std::optional<std::string> rival;
};
[[nodiscard]] Extent extent_of(const Equation& equation, const Mixture& reactants);

/// What is there afterwards; gases have left.
[[nodiscard]] Mixture after_reaction(Mixture reactants, const Equation& equation,
                                     const Measured& extent_mol);

/// mol of gas that the reaction gives off (products that are gases less reactants that are).
[[nodiscard]] Measured gas_mol(const Equation& equation, const Measured& extent_mol);

}  // namespace nestcup

// Accepted enthalpies of reactions, from tables of formation enthalpies and reference reactions.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/matter/accepted_table.hpp"
#include "core/matter/equation.hpp"

namespace nestcup {

/// A reference reaction that the equation is a multiple of, its value for the equation as written.
struct AcceptedReaction {
  std::string equation;     ///< of the reference
  Rational multiplier = 1;  ///< the equation asked for is this many times the reference
  AcceptedValue value;      ///< for the equation asked for
  std::optional<double> molality_mol_per_kg;  ///< nothing at infinite dilution or without solution
  double at_degC = 25.0;
  std::string conditions;
  std::string source;
};

/// The sum by another base.
struct AcceptedAlternative {
  std::string base;
  AcceptedValue value;
  std::vector<std::string> sources;
};

/// A tabulated value and how often it stands in a sum. Values of one name are the same value.
struct AcceptedPart {
  std::string name;  ///< "formation of MgO(s) (CODATA 1989)"
  Rational amount = 1;
  AcceptedValue value;
};

/// What is accepted for an equation, in kJ per mole of the equation as written.
struct AcceptedEnthalpy {
  AcceptedValue value;
  std::vector<AcceptedPart> parts;  ///< what `value` is the sum of
  /// "CODATA 1989", "JANAF 1998 and CODATA 1989", or "reference reaction" where formation
  /// enthalpies are not known.
  std::string base;
  bool mixed = false;  ///< put together from bases that are not consistent with each other
  double at_degC = 25.0;
  /// Whether the value holds at infinite dilution: something is dissolved, and no concentration is
  /// given with the value.
  bool infinite_dilution = false;
  /// Of products less reactants; nothing where one of them is not known.
  std::optional<double> delta_Cp_J_per_mol_K;
  std::vector<std::string> sources;
  std::vector<AcceptedAlternative> other_bases;
  std::vector<AcceptedReaction> reactions;
};

/// The enthalpy of a balanced equation. Strong electrolytes count as their ions (`dissociated`),
/// elements in their reference state and H+(aq) as 0. The sum is taken within one base: the first
/// of the table that has all species, those consistent with it included; only where none has, it is
/// put together from several (`mixed`). u is the root of the sum of squares over the species, whose
/// values count as independent although a base's are not quite; it is absent where one is absent.
/// @param base  the name of a base, or the beginning of one ("NBS"), to be asked first
/// @errors no_input (species that are in no table, with near misses), usage (no such base),
///         bad_data (the equation does not balance, or nothing changes)
[[nodiscard]] Result<AcceptedEnthalpy> accepted_enthalpy(
    const Equation& equation, std::optional<std::string_view> base = std::nullopt);

/// The same from another table.
[[nodiscard]] Result<AcceptedEnthalpy> accepted_enthalpy(const AcceptedTable& table,
                                                         const Equation& equation,
                                                         std::optional<std::string_view> base);

/// The names of all bases, in the order in which they are asked.
[[nodiscard]] std::vector<std::string> accepted_bases();

}  // namespace nestcup

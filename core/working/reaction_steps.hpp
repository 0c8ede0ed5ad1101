// Steps of a reaction's extent, and of the gas that it gives off.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>

#include "core/matter/equation.hpp"
#include "core/working/working.hpp"

namespace nestcup {

/// Particles that a reaction takes, water left out: there is always enough of it.
[[nodiscard]] std::set<std::string> particles_taken(const Equation& equation);

/// @param amounts  steps of what is there, by particle; each has all that the reaction takes
/// @return the extent, mol: the smallest that a reactant allows
[[nodiscard]] StepId extent_step(const Equation& equation,
                                 const std::map<std::string, StepId>& amounts, Working& working);

/// Gas that leaves: its amount (mol) and mass (g).
struct GasSteps {
  StepId mol = 0;
  StepId mass_g = 0;
};
/// @return nothing where the reaction gives off none
[[nodiscard]] std::optional<GasSteps> gas_steps(const Equation& equation, StepId extent,
                                                Working& working);

}  // namespace nestcup

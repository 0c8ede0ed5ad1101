// What a reaction does to the particles in the beaker: spectators gone, electrolytes as ions.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "core/matter/equation.hpp"

namespace nestcup {

/// By canonical formula, how much of each particle appears (positive) or vanishes.
using NetChange = std::map<std::string, Rational>;

/// The net ionic equation: strong electrolytes as their ions, what is the same on both sides left
/// out.
[[nodiscard]] NetChange net_change(const Equation& equation);

/// The number by which `reference` becomes `change`; nothing where none does.
[[nodiscard]] std::optional<Rational> multiple_of(const NetChange& change,
                                                  const NetChange& reference);

}  // namespace nestcup

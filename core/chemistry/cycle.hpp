// Adding reactions up to another one: Hess's law as linear algebra over exact fractions.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "core/matter/equation.hpp"
#include "core/matter/rational.hpp"

namespace nestcup {

/// What came of looking for multipliers. Exactly one of the three is filled.
struct CycleSolution {
  /// One an equation, in order; 0 where an equation is not needed.
  std::vector<Rational> multipliers;
  /// No combination gives the target: the species that cannot be brought to agree, by name.
  std::vector<std::string> left_over;
  /// Many combinations do: indexes of the equations that make each other up.
  std::vector<std::size_t> dependent;
};

/// Multipliers m with the sum of m_i times equations[i] equal to the target, species by species.
/// Strong electrolytes count as their ions everywhere, so that HCl(aq) and H+(aq) with Cl-(aq) are
/// the same. Gaussian elimination over fractions: what it finds is exact.
[[nodiscard]] CycleSolution solve_cycle(const Equation& target,
                                        std::span<const Equation> equations);

}  // namespace nestcup

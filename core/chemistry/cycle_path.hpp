// The way through a cycle: in which order its reactions are taken, and what stands at each stop.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <vector>

#include "core/matter/equation.hpp"
#include "core/matter/rational.hpp"

namespace nestcup {

struct CyclePath {
  std::vector<std::size_t> order;   ///< indexes of the equations that take part
  std::vector<std::string> levels;  ///< before the first and behind each: "Mg(s) + 2 H+(aq)"
};

/// The way that needs the least at its start: the smallest amount, of the fewest species; of
/// several ways the first. What a level holds is exact, and strong electrolytes are their ions, as
/// in `solve_cycle`.
/// @param equations    of more than seven that take part, the forward ones come first
/// @param multipliers  one an equation; 0: it takes no part
[[nodiscard]] CyclePath cycle_path(std::span<const Equation> equations,
                                   std::span<const Rational> multipliers);

}  // namespace nestcup

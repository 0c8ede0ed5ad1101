// The order in which a cycle's reactions lead from one state to the next, and what is there between
// them.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/matter/equation.hpp"
#include "core/matter/rational.hpp"

namespace nestcup {

/// A reaction, so many times; backwards where the multiplier is below 0.
struct PathStep {
  Equation equation;
  Rational multiplier = 1;
};

struct CyclePath {
  std::vector<std::size_t> order;   ///< indexes of the steps, the first to go first
  std::vector<std::string> levels;  ///< what is there before the first step and behind each
};

/// From the reactants of `target`, each time on with the step that needs the least that is not
/// there yet; what is needed beside (an acid that is given back, say) stands on every level up to
/// its use. Amounts are exact.
[[nodiscard]] CyclePath cycle_path(const Equation& target, const std::vector<PathStep>& steps);

}  // namespace nestcup

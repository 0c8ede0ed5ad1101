// Sums of formation enthalpies over a reaction, within one table or over several.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "core/matter/accepted.hpp"
#include "core/matter/net_change.hpp"

namespace nestcup {

using Bases = std::vector<const AcceptedBase*>;

/// A sum over formation enthalpies.
struct FormationSum {
  AcceptedValue value;
  std::vector<AcceptedPart> parts;
  Bases used;                        ///< that gave a value, in the order asked
  std::vector<std::string> missing;  ///< species that none of the bases has
};

/// The sums within one base each that are complete, no two from the same bases.
[[nodiscard]] std::vector<FormationSum> consistent_sums(const AcceptedTable& table,
                                                        const NetChange& change);

/// The sum to be reported first, and whether it is `mixed`: not of one base.
/// @param consistent  as consistent_sums gives them
/// @param asked       to be taken before all others; null for none
[[nodiscard]] std::pair<FormationSum, bool> best_sum(const AcceptedTable& table,
                                                     const NetChange& change,
                                                     const std::vector<FormationSum>& consistent,
                                                     const AcceptedBase* asked);

}  // namespace nestcup

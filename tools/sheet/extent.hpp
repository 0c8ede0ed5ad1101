// How much of its equation a planned trial carries out, where the sheet alone tells it.
#pragma once

#include <optional>
#include <string>

#include "core/sheet/sheet.hpp"

namespace nestcup {

/// What runs out first, and the extent of the equation as written.
struct PlannedExtent {
  std::string limiting;  ///< canonical formula; water, of which there is always more, is left out
  double mol = 0.0;      ///< > 0
};

/// From masses of substances, and from stocks by volume and concentration or by mass and mass
/// fraction.
/// @return nothing for a trial without equation, and where a density would be needed
[[nodiscard]] std::optional<PlannedExtent> planned_extent(const Sheet& sheet,
                                                          const SheetTrial& trial);

}  // namespace nestcup
